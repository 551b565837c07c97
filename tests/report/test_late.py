"""How a claim is told that fails since its goal is too far away, or out of reach for good."""

import json
from importlib.resources import files

import jsonschema

from tests.engines.test_late import LAMP, NOOK, asked_of, system_of
from tests.report.make import paper
from verifier.causes.trap import explain_trap
from verifier.engines.decide import Decider, Effort
from verifier.report.clock import Clock
from verifier.report.dialled import how_it_fails
from verifier.report.page.build import page_of
from verifier.report.record import check_record, text_of
from verifier.report.story import story
from verifier.report.terminal import write_answers
from verifier.simulate.further import quickest
from verifier.simulate.onward import Way, way_on
from verifier.system.model import System
from verifier.system.state import start_of
from verifier.verdict.answer import Answer
from verifier.verdict.trace import Trace


def answered(system: System) -> Answer:
    asked = asked_of(system)
    return Answer(asked, Decider(system, Effort()).decide(asked))


def test_the_answer_says_how_far_it_is_and_how_it_comes_to_that() -> None:
    system = system_of(NOOK, "100 ms", "3 s")
    answer = answered(system)
    sheet, stream = paper(80)
    write_answers(sheet, system, [answer])
    lines = [line.strip() for line in stream.getvalue().splitlines()]
    head = next(line for line in lines if " c  " in line)
    assert "  fails after 5.2 s  shown (every state)" in head
    at = lines.index("it would hold with 7.1 s, not with less")
    assert lines[at + 1] == "after this it takes 7.1 s at the least"
    assert "× from here it takes 7.1 s at the least" in lines
    told = story(system, answer)
    assert told is not None
    assert told.needs == ()
    assert told.events[-1].tick == 52
    # What is drawn goes on to where the gate is shut again.
    assert told.history.length > 52 + 71
    words = how_it_fails(answer.question, answer.outcome, Clock(system.design.tick_ns))
    assert words == "`c` fails at 5.2 s: it takes 7.1 s at the least from there"
    page = page_of(system, [answer])
    assert page.tales[0].title == "How c gets out of reach"
    assert page.why == "c fails at 5.2 s: from here it takes 7.1 s at the least."


def test_what_never_comes_in_the_only_run_is_not_waited_for() -> None:
    system = system_of(LAMP.replace("lamp.on", "lamp.fed and not lamp.fed"), "3 s")
    answer = answered(system)
    sheet, stream = paper(80)
    write_answers(sheet, system, [answer])
    assert "  fails: out of reach  " in stream.getvalue()
    page = page_of(system, [answer])
    assert page.tales[0].title == "How c gets out of reach"
    assert "waits" not in page.why


ASSUMED = """design yard {{
  tick 1 s
  free go : signal
  free other : signal
  keep spoilt : flag
  spoilt becomes yes when go
  keep rest : timer
  rest loads 3 s when other and rest = 0 s
  assume {}
  claim c: {}
}}
"""


def told_of(assumed: str, claim: str) -> str:
    system = system_of(ASSUMED, assumed, claim)
    sheet, stream = paper(80)
    write_answers(sheet, system, [answered(system)])
    return stream.getvalue()


def test_a_trap_beside_an_assumption_is_explained() -> None:
    """Nothing of the claim hangs on what is assumed of `other`."""
    text = told_of("other starts at most 1 time in any 3 s", "always possible not spoilt")
    assert "From 1 s on, whatever anyone does, spoilt is always live." in text
    assert "If it were otherwise, there would be a way." in text


def test_a_run_goes_on_within_what_is_assumed() -> None:
    """Nobody may rest, so what comes after the run is one of the ways there are."""
    text = told_of("always go", "always possible spoilt within 0 s")
    assert "c fails at the start" in text
    assert "from here it takes 1 s at the least" in text
    text = told_of("always go", "always possible rest = 0 s within 1 s")
    assert "rest starts (3 s)" in text
    assert "▲ 1 s  from here it takes 3 s at the least" in text
    text = told_of("always go", "always possible not spoilt")
    assert "c is out of reach from here on" in text


def test_records_of_runs_without_ticks_fit_their_schema() -> None:
    schema = json.loads(files("verifier.report").joinpath("check.schema.json").read_text("utf-8"))
    for scope, begins in (("", False), ("from anywhere: ", True)):
        system = system_of(ASSUMED, "always go", f"{scope}always possible spoilt within 0 s")
        answer = answered(system)
        record = json.loads(text_of(check_record([(system, [answer], {})])))
        jsonschema.validate(record, schema)
        (claim,) = record["designs"][0]["claims"]
        assert claim["away_ms"] == 1000
        assert claim["shortest"] is None
        assert bool(claim["trace"]) is begins
        assert not begins or "start" in claim["trace"][0]


def test_very_many_choices_that_are_ruled_out_are_not_all_tried() -> None:
    """Of 2 ** 41 ways of a tick two are allowed; nobody waits until the others were tried."""
    free = "\n".join(f"  free s{number} : signal" for number in range(40))
    held = " and ".join(f"s{number}" for number in range(40))
    text = ASSUMED.replace("  assume {}", f"{free}\n  assume always {held}")
    system = system_of(text, "always possible not spoilt")
    asked, start = asked_of(system), start_of(system)
    assert way_on(system, start) == (Way.UNKNOWN, None)
    assert quickest(system, start, asked.goal) is None
    assert explain_trap(system, asked, Trace(())) is None
