# ruff: noqa: RUF001  (letters that draw look like others on purpose)
"""The answers of a design in the terminal."""

import pytest

from tests.report.golden import compare
from tests.report.make import VESTIBULE, answer, paper, system, systems, trace
from verifier.report.clock import Clock
from verifier.report.finer import write_flips
from verifier.report.look import PLAIN
from verifier.report.story import story
from verifier.report.terminal import write_answers
from verifier.report.verdicts import words_for
from verifier.verdict.answer import Answer, Emptiness, Outcome, Reach, Verdict
from verifier.verdict.trace import Lasso, State, Trace

WHERE = system(VESTIBULE)
APART = trace(WHERE, (1, {"ask_out.hand": 1, "ask_in.hand": 1}), (2, {}))
WAYS = trace(WHERE, (1, {"ask_in.hand": 1}), (22, {}))


def fails(name: str = "apart") -> Answer:
    outcome = Outcome(Verdict.FAILS, trace=APART, engine="walk", earliest=True)
    return answer(WHERE, name, outcome)


def holds(name: str, reach: Reach = Reach.FOREVER, **more: object) -> Answer:
    outcome = Outcome(Verdict.HOLDS, reach, engine="zones")
    for field, value in more.items():
        object.__setattr__(outcome, field, value)
    return answer(WHERE, name, outcome)


def written(answers: list[Answer], columns: int = 80, *, plain: bool = False) -> str:
    sheet, stream = paper(columns, PLAIN if plain else None)
    write_answers(sheet, WHERE, answers)
    return stream.getvalue()


ALL = [
    holds("fed"),
    fails(),
    holds("rests"),
    holds("ways", trace=WAYS),
    answer(
        WHERE,
        "calm",
        Outcome(
            Verdict.UNKNOWN,
            Reach.UP_TO,
            6000,
            reason="zones: 20000 cells and more; bounded jumps: 40 jumps reach 10 min",
        ),
    ),
]


def test_a_report() -> None:
    compare("check-vestibule", written(ALL))


def test_a_report_in_plain_letters() -> None:
    text = written(ALL, plain=True)
    assert text.isascii()
    compare("check-vestibule-plain", text)


def test_a_wide_terminal_shows_claims_as_written_in_the_row() -> None:
    lines = written(ALL, 120).splitlines()
    assert any("apart" in one and "never outer.ajar and inner.ajar" in one for one in lines)


@pytest.mark.parametrize("columns", [40, 60, 80, 100, 132])
def test_no_line_is_wider_than_the_terminal(columns: int) -> None:
    for line in written(ALL, columns).splitlines():
        assert len(line) <= columns or line.startswith("vestibule: "), line


def test_the_story_of_the_vestibule_is_short_enough_to_read() -> None:
    told = written([fails()]).split("\n\n")[2]
    lines = told.splitlines()
    assert lines[0].startswith("apart fails after 0.2 s")
    assert len(lines) < 15
    assert [one for one in lines if "presses" in one] == [
        "  0.0 s ▸ someone presses ask_out and ask_in at once",
        "  Both presses are needed.",
    ]
    assert "open_out starts (6 s)  by ask_out, while inner is still shut   line 14" in told
    assert "× outer is ajar and inner is ajar" in told
    assert lines[-1] == "  Shortest possible."


def test_where_a_longer_run_is_told_the_first_line_says_so() -> None:
    text = "  tick 100 ms\n  a : button\n  b : button\n  claim c: while b: never a\n"
    where = system(f"design yard {{\n{text}}}\n")
    exact = Outcome(Verdict.FAILS, trace=trace(where, (1, {"a.hand": 1, "b.hand": 1})))
    sheet, stream = paper(80)
    write_answers(sheet, where, [answer(where, "c", exact)])
    lines = stream.getvalue().splitlines()
    at = lines.index("c fails at the start")
    assert lines[at + 1].startswith("  A run that is exact to the tick fails at 0.0 s already.")
    assert not any("hortest" in one for one in lines)


@pytest.mark.parametrize(
    ("answers", "headline"),
    [
        ([fails(), holds("rests")], "1 of 2 claims fails"),
        ([fails(), fails("rests")], "2 of 2 claims fail"),
        ([fails(), ALL[4]], "1 of 2 claims fails, 1 unknown"),
        ([ALL[4], holds("rests")], "1 of 2 claims is unknown"),
        ([holds("rests"), holds("fed")], "all 2 claims hold"),
        ([holds("rests")], "its claim holds"),
        ([], "no claims"),
    ],
)
def test_headlines(answers: list[Answer], headline: str) -> None:
    assert written(answers).splitlines()[0].startswith(f"vestibule: {headline}  garden.latch")


@pytest.mark.parametrize(
    ("outcome", "latch", "words"),
    [
        (Outcome(Verdict.HOLDS, Reach.FOREVER), "┣━━┫", "holds for ever"),
        (Outcome(Verdict.HOLDS, Reach.UP_TO, 6000), "┣━┅┫", "holds up to 10 min"),
        (Outcome(Verdict.HOLDS, Reach.FOREVER, trace=WAYS), "┣━━┫", "possible after 2.2 s"),
        (
            Outcome(Verdict.HOLDS, Reach.FOREVER, empty=Emptiness.NEVER),
            "┣━━ ",
            "holds, but empty",
        ),
        (Outcome(Verdict.FAILS, trace=APART), "┣╱ ┫", "fails after 0.2 s"),
        (Outcome(Verdict.FAILS, trace=trace(WHERE, (1, {}))), "┣╱ ┫", "fails at the start"),
        (Outcome(Verdict.FAILS, lasso=Lasso(WAYS, 3)), "┣╱ ┫", "fails: waits for ever"),
        (Outcome(Verdict.UNKNOWN, reason="no"), "┣┄┄┫", "unknown"),
    ],
)
def test_verdicts(outcome: Outcome, latch: str, words: str) -> None:
    line = written([answer(WHERE, "apart", outcome)]).splitlines()[2]
    assert line.startswith(f"{latch} apart  ")
    assert f"  {words}  " in line
    assert line.endswith("line 16")


def test_what_can_never_be_is_not_called_a_failure_after_some_time() -> None:
    text = written([answer(WHERE, "ways", Outcome(Verdict.FAILS, reason="no choices lead there"))])
    assert "fails: never possible" in text
    assert "no choices lead there" in text


def test_an_empty_claim_says_why_it_says_nothing() -> None:
    text = written([holds("rests", empty=Emptiness.NEVER)])
    assert "never put to the test" in text
    assert "not put to the test so far" in written([holds("rests", empty=Emptiness.NOT_SO_FAR)])


def test_refused_evidence_is_called_our_fault() -> None:
    outcome = Outcome(Verdict.UNKNOWN, reason="zones: the proof is wrong", fault=True)
    assert "a fault of ours" in written([answer(WHERE, "rests", outcome)])


def test_an_endless_run_is_drawn_with_its_loop() -> None:
    endless = answer(WHERE, "calm", Outcome(Verdict.FAILS, lasso=Lasso(WAYS, 3)))
    found = story(WHERE, endless)
    assert found is not None
    assert found.history.again is not None
    assert (found.history.again.start, found.history.again.period) == (3, 20)
    assert "for ever." in written(
        [answer(WHERE, "calm", Outcome(Verdict.FAILS, lasso=Lasso(WAYS, 3)))]
    )


def test_a_run_from_anywhere_tells_what_it_begins_with() -> None:
    where = system(
        """design d {
          bolt : lever keep at: count 0 .. 3 keep rest: timer keep odd: one of (calm, loud)
          at becomes at + 1 when bolt and at < 3
          rest loads 3 s when bolt
          odd becomes loud when bolt
          claim c: from anywhere: never bolt and at = 2 and rest > 1 s and odd is loud
        }"""
    )
    names = {"bolt.thrown", "at > 0", "at > 1", "odd is loud"}
    live = tuple(one.start or one.name in names for one in where.registers)
    left = tuple(20 if one.name == "rest" else one.start for one in where.clocks)
    run = Trace(trace(where, (1, {})).steps, State(live, left))
    found = story(where, answer(where, "c", Outcome(Verdict.FAILS, trace=run)))
    assert found is not None
    assert [event.words for event in found.events] == [
        "at first at is at 2",
        "at first odd stands at loud",
        "at first bolt.thrown is live",
        "at first rest shows 2 s",
        "bolt is live and at is 2 and rest still has 2 s to run and odd stands at loud",
    ]


def test_flips_are_listed_by_claim() -> None:
    sheet, stream = paper()
    usual = [fails("apart"), holds("rests")]
    write_flips(sheet, 20_000_000, usual, [holds("apart"), holds("rests")])
    assert stream.getvalue() == (
        "Asked again with a tick of 0.02 s: 1 verdict flips.\n  apart  fails, then holds\n\n"
    )
    sheet, stream = paper()
    write_flips(sheet, 20_000_000, usual, usual)
    assert stream.getvalue() == "Asked again with a tick of 0.02 s: every verdict stays.\n\n"


def test_names_of_files_cannot_reach_the_terminal() -> None:
    (where,) = systems(VESTIBULE, "evil\x1b]0;x\x07\u202e.latch")
    sheet, stream = paper()
    write_answers(sheet, where, [answer(where, "apart", Outcome(Verdict.FAILS, trace=APART))])
    assert r"evil\x1b]0;x\x07\u202e.latch" in stream.getvalue()
    assert not {"\x1b", "\x07", "\u202e"} & set(stream.getvalue())


def test_where_no_number_of_a_line_fits_none_stands() -> None:
    long = "a_claim_whose_name_takes_nearly_all_of_the_line"
    where = system(VESTIBULE.replace("claim rests", f"claim {long}"))
    sheet, stream = paper(40)
    write_answers(sheet, where, [answer(where, long, Outcome(Verdict.HOLDS, Reach.FOREVER))])
    (line,) = [one for one in stream.getvalue().splitlines() if "a_claim" in one]
    assert "line" not in line.partition("holds")[2]


def test_what_may_help_depends_on_what_was_asked() -> None:
    unknown = Outcome(Verdict.UNKNOWN, reason="time was up")
    text = VESTIBULE.replace(
        "claim calm", "claim surely: possible inner.open whatever the spans\n  claim calm"
    )
    where = system(text)
    said = {
        name: words_for(answer(where, name, unknown), Clock(1), PLAIN).remarks[-1]
        for name in ("surely", "calm", "apart")
    }
    assert said == {
        "surely": "ask it without `whatever the spans`, or draw the spans from narrower ranges",
        "calm": "try more --effort, or a coarser tick",
        "apart": "try more --effort, a shorter --for, or a coarser tick",
    }
