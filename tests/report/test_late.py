"""How a claim is told that fails since its goal is too far away, or out of reach for good."""

from tests.engines.test_late import LAMP, NOOK, asked_of, system_of
from tests.report.make import paper
from verifier.engines.decide import Decider, Effort
from verifier.report.clock import Clock
from verifier.report.dialled import how_it_fails
from verifier.report.page.build import page_of
from verifier.report.story import story
from verifier.report.terminal import write_answers
from verifier.system.model import System
from verifier.verdict.answer import Answer


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
    assert lines[at + 1] == "after this it is 7.1 s away at the least"
    assert "× c is 7.1 s away from here" in lines
    told = story(system, answer)
    assert told is not None
    assert told.needs == ()
    assert told.events[-1].tick == 52
    words = how_it_fails(answer.question, answer.outcome, Clock(system.design.tick_ns))
    assert words == "`c` fails at 5.2 s: from then on it is 7.1 s away at the least"
    page = page_of(system, [answer])
    assert page.tales[0].title == "How c gets too far away"
    assert page.why == "c fails at 5.2 s: c is 7.1 s away from here."


def test_what_never_comes_in_the_only_run_is_not_waited_for() -> None:
    system = system_of(LAMP.replace("lamp.on", "lamp.fed and not lamp.fed"), "3 s")
    answer = answered(system)
    sheet, stream = paper(80)
    write_answers(sheet, system, [answer])
    assert "  fails: out of reach  " in stream.getvalue()
    page = page_of(system, [answer])
    assert page.tales[0].title == "How c gets out of reach"
    assert "waits" not in page.why
