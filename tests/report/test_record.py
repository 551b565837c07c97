"""Records fit their schemas (JSON Schema draft 2020-12), and a trace in one can be replayed."""

import json
from importlib.resources import files
from typing import Any

import jsonschema
import pytest

from tests.report.make import VESTIBULE, answer, question, system, trace
from tests.report.test_readings import GARDEN
from verifier.design.bounds import Measure
from verifier.report.record import check_record, run_record, text_of
from verifier.report.simulation import simulation
from verifier.system.cone import cone
from verifier.system.model import System
from verifier.verdict.answer import Emptiness, Margin, Outcome, Reach, Verdict
from verifier.verdict.replay import replay, replay_lasso
from verifier.verdict.trace import Lasso, State, Step, Trace

WHERE = system(VESTIBULE)
APART = trace(WHERE, (1, {"ask_out.hand": 1, "ask_in.hand": 1}), (2, {}))


def schema(name: str) -> Any:  # noqa: ANN401 - JSON
    text = files("verifier.report").joinpath(f"{name}.schema.json").read_text(encoding="utf-8")
    return json.loads(text)


def claims(where: System, *outcomes: tuple[str, Outcome]) -> list[dict[str, Any]]:
    """Return the claims of a record that was written, read back and found to fit."""
    answers = [answer(where, name, outcome) for name, outcome in outcomes]
    record = json.loads(text_of(check_record([(where, answers, {})])))
    jsonschema.Draft202012Validator(schema("check")).validate(record)
    found: list[dict[str, Any]] = record["designs"][0]["claims"]
    return found


def read(where: System, steps: list[dict[str, Any]]) -> Trace:
    """Build a run from a record, as another program would."""
    tick_ms = where.design.tick_ns / 1_000_000
    made = []
    for step in steps:
        choices = tuple(
            choice.options.index(step["choices"].get(choice.name, choice.options[0]))
            for choice in where.choices
        )
        draws = tuple(round(step["draws"].get(one.name, 0) / tick_ms) for one in where.clocks)
        made.append(Step(choices, draws, round(step["for_ms"] / tick_ms)))
    start = steps[0].get("start")
    if start is None:
        return Trace(tuple(made))
    live = tuple(start["live"].get(one.name, one.start) for one in where.registers)
    left = tuple(
        round(start["left_ms"][one.name] / tick_ms) if one.name in start["left_ms"] else one.start
        for one in where.clocks
    )
    return Trace(tuple(made), State(live, left))


@pytest.mark.parametrize("name", ["check", "run"])
def test_schemas_are_schemas(name: str) -> None:
    jsonschema.Draft202012Validator.check_schema(schema(name))
    assert schema(name)["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_a_trace_in_a_record_can_be_replayed() -> None:
    (claim,) = claims(WHERE, ("apart", Outcome(Verdict.FAILS, trace=APART)))
    found = read(WHERE, claim["trace"])
    assert found == APART
    assert replay(WHERE, found, question(WHERE, "apart").bad, anywhere=False).ruling.sound


def test_margins_are_told_in_their_unit_with_a_run() -> None:
    longest = Margin(Measure.LONGEST, 60, 120, exact=True, trace=APART)
    most = Margin(Measure.TIMES, 2, None, exact=False)
    outcome = Outcome(Verdict.HOLDS, Reach.FOREVER, margins=(longest, most), effort=0.5)
    (claim,) = claims(WHERE, ("rests", outcome))
    assert claim["effort"] == 0.5
    first, second = claim["margins"]
    assert read(WHERE, first.pop("trace")) == APART
    assert first == {
        "of": "longest stretch",
        "unit": "ms",
        "worst": 6000,
        "allowed": 12000,
        "exact": True,
    }
    assert second == {
        "of": "most times",
        "unit": "times",
        "worst": 2,
        "allowed": None,
        "exact": False,
        "trace": None,
    }


def test_draws_are_told_in_milliseconds() -> None:
    where = system(
        """design d { mains : supply(2) go : button wait : pulse(1 s .. 3 s) mains -> wait
        go -> wait.start claim c: wait.on lasts at most 1 s }"""
    )
    index = [clock.name for clock in where.clocks].index("wait.left")
    draws = tuple(20 if number == index else 0 for number in range(len(where.clocks)))
    rest = (0,) * len(where.clocks)
    run = Trace((Step((1,), draws, 1), Step((0,), rest, 11)))
    assert replay(where, run, question(where, "c").bad, anywhere=False).ruling.sound
    (claim,) = claims(where, ("c", Outcome(Verdict.FAILS, trace=run)))
    assert claim["trace"][0]["draws"] == {"wait.left": 2000}
    assert read(where, claim["trace"]) == run


def test_a_loop_is_cut_where_it_begins() -> None:
    run = trace(WHERE, (30, {}))
    (claim,) = claims(WHERE, ("calm", Outcome(Verdict.FAILS, lasso=Lasso(run, 10))))
    steps = claim["trace"]
    assert [(one["at_ms"], one["for_ms"], one.get("again")) for one in steps] == [
        (0, 1000, None),
        (1000, 2000, True),
    ]
    back = Lasso(read(WHERE, steps), 10)
    waiting = question(WHERE, "calm").waiting
    assert replay_lasso(cone(WHERE, [waiting]), back, waiting)[0].sound


def test_a_start_from_anywhere_is_told() -> None:
    where = system("design d { bolt : lever claim c: from anywhere: never bolt }")
    kept = tuple(one.kept or one.start for one in where.registers)
    left = tuple(clock.start for clock in where.clocks)
    run = Trace((Step((0,), (0,) * len(where.clocks), 1),), State(kept, left))
    assert replay(where, run, question(where, "c").bad, anywhere=True).ruling.sound
    (claim,) = claims(where, ("c", Outcome(Verdict.FAILS, trace=run)))
    found = read(where, claim["trace"])
    assert replay(where, found, question(where, "c").bad, anywhere=True).ruling.sound


@pytest.mark.parametrize(
    ("outcome", "expected"),
    [
        (
            Outcome(Verdict.HOLDS, Reach.UP_TO, 600, engine="bounded jumps"),
            {"verdict": "holds", "reach": "up to", "until_ms": 60_000, "empty": False},
        ),
        (
            Outcome(Verdict.HOLDS, Reach.FOREVER, empty=Emptiness.NEVER),
            {"verdict": "holds", "reach": "forever", "until_ms": None, "empty": True},
        ),
        (
            Outcome(Verdict.UNKNOWN, reason="out of time", empty=Emptiness.NOT_SO_FAR),
            {"verdict": "unknown", "reach": None, "reason": "out of time", "empty": None},
        ),
    ],
)
def test_answers(outcome: Outcome, expected: dict[str, Any]) -> None:
    (claim,) = claims(WHERE, ("rests", outcome))
    assert {key: claim[key] for key in expected} == expected
    assert claim["trace"] is None


def test_fractions_of_a_millisecond_are_kept() -> None:
    where = system("design d { tick 1 ms bolt : lever claim c: never bolt }")
    object.__setattr__(where.design, "tick_ns", 200_000)
    (claim,) = claims(
        where, ("c", Outcome(Verdict.FAILS, trace=trace(where, (3, {"bolt.hand": 1}))))
    )
    assert claim["trace"][0]["for_ms"] == 0.6


@pytest.mark.parametrize("wrong", [
    {"schema": 2, "designs": []},
    {"schema": 1},
    {"schema": 1, "designs": [{"file": "a", "design": "d", "claims": [{"name": "c"}]}]},
    {"schema": 1, "designs": [], "more": 1},
])  # fmt: skip
def test_the_schema_refuses_what_is_no_record(wrong: object) -> None:
    assert not jsonschema.Draft202012Validator(schema("check")).is_valid(wrong)


@pytest.mark.parametrize("text", [VESTIBULE, GARDEN])
def test_runs_fit_their_schema(text: str) -> None:
    where = system(text)
    steps = [(3, {choice.name: 1}) for choice in where.choices]
    found = simulation(where, trace(where, *steps, (50, {})), onward=False)
    record = json.loads(text_of(run_record(where.design, found.history, found.events)))
    jsonschema.Draft202012Validator(schema("run")).validate(record)
    assert record["until_ms"] == found.history.length * 100
    for one in record["rows"]:
        assert one["runs"][0]["from_ms"] == 0
        assert one["runs"][-1]["to_ms"] == record["until_ms"]


def test_reasons_are_told_line_by_line_with_the_presses_they_need() -> None:
    (claim,) = claims(WHERE, ("apart", Outcome(Verdict.FAILS, trace=APART, earliest=True)))
    assert claim["shortest"] is True
    why = claim["why"]
    assert why["lines"][1] == {
        "at_ms": 100,
        "kind": "change",
        "about": "open_out",
        "words": "open_out starts (6 s)",
        "reasons": "by ask_out, while inner is still shut",
        "line": 14,
    }
    assert [(one["choice"], one["needed"]) for one in why["presses"]] == [
        ("ask_out.hand", True),
        ("ask_in.hand", True),
    ]
    assert why["presses"][1]["later_ms"] == 100
    assert "Both presses are needed." in why["said"]
    causes = why["causes"]
    assert {"ask_out.hand", "ask_in.hand"} <= {one["path"] for one in causes}
    assert all(by > place for place, one in enumerate(causes) for by in one["by"])


def test_an_endless_run_tells_who_waits_for_whom() -> None:
    run = trace(WHERE, (30, {}))
    (claim,) = claims(WHERE, ("calm", Outcome(Verdict.FAILS, lasso=Lasso(run, 10))))
    assert claim["shortest"] is None
    assert claim["why"]["lines"][-1]["words"] == "and so on for ever: outer is shut"
    assert "Nothing starts open_out: nobody works ask_out." in claim["why"]["said"]
    assert claim["why"]["said"][-1] == "Nothing changes any more."


def test_an_answer_without_a_run_needs_no_reasons() -> None:
    (claim,) = claims(WHERE, ("apart", Outcome(Verdict.HOLDS, Reach.FOREVER)))
    assert claim["why"] is None


def test_states_of_a_run_are_told_by_what_they_are() -> None:
    where = system(GARDEN)
    run = trace(where, (2, {"mode": 1}), (3, {"guest.sets_out": 0, "level": 2}), (9, {}))
    found = simulation(where, run, onward=False)
    record = json.loads(text_of(run_record(where.design, found.history, found.events)))
    jsonschema.Draft202012Validator(schema("run")).validate(record)
    states = {
        one["name"]: [
            {key: value for key, value in run.items() if not key.endswith("_ms")}
            for run in one["runs"]
        ]
        for one in record["rows"]
    }
    assert states["mode"] == [{"at": "loud"}, {"at": "calm"}]
    assert states["level"] == [{"number": 0}, {"number": 2}, {"number": 0}]
    assert "sun" not in states  # it stays as it is


def test_a_longer_run_that_is_told_stands_beside_the_reasons() -> None:
    text = "  tick 100 ms\n  a : button\n  b : button\n  claim c: while b: never a\n"
    where = system(f"design yard {{\n{text}}}\n")
    exact = trace(where, (1, {"a.hand": 1, "b.hand": 1}))
    (claim,) = claims(where, ("c", Outcome(Verdict.FAILS, trace=exact, earliest=True)))
    assert read(where, claim["trace"]) == exact
    told = read(where, claim["why"]["trace"])
    assert replay(where, told, question(where, "c").bad, anywhere=False).ruling.sound
    last = claim["why"]["lines"][-1]["at_ms"]
    assert last == 100 * (told.length - 1) == 300
    assert claim["why"]["said"][0].startswith("A run that is exact to the tick fails at 0.0 s")


def test_where_the_run_of_the_answer_is_told_it_is_not_told_twice() -> None:
    (claim,) = claims(WHERE, ("apart", Outcome(Verdict.FAILS, trace=APART)))
    assert claim["why"]["trace"] is None
