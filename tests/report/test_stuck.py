"""Dead ends in words: what is known, what holds people there, and how the goal was lost."""

from dataclasses import replace

import pytest

from tests.puzzle.desk import asked
from tests.report.make import paper, trace
from verifier.puzzle.moves import Move
from verifier.puzzle.stuck import Stuck, Trap
from verifier.puzzle.stuck_acts import Loss, Mistake
from verifier.puzzle.stuck_holds import Hold
from verifier.report.route import Teller
from verifier.report.stuck import act_words, hold_words, lost_by, moments, verdict, write_stuck
from verifier.verdict.answer import Outcome, Verdict

GOAL = asked(
    """\
design cellar {
  tick 1 s
  rooms yard, cellar
  passage yard -> cellar when not pin takes 2 s
  walker guest starts in yard
  ask   : button
  gate  : door(opens: 2 s, shuts: 2 s)
  stays : pulse(5 s)
  keep pin: flag
  pin becomes yes when ask
  keep turns: count 0..3
  turns becomes 2 when ask
  keep mood: one of (calm, cross)
  mood becomes cross when ask
  keep left: timer
  left loads 3 s when ask
  mains : supply(2)
  mains -> stays -> gate
  ask -> stays.start
}
""",
    "guest is in cellar",
)
SYSTEM = GOAL.system
CHOICES = {choice.name: number for number, choice in enumerate(SYSTEM.choices)}
PRESS = Move(CHOICES["ask.hand"], 1)
RUN = trace(SYSTEM, (2, {}), (1, {"ask.hand": 1}))
TRAP = Trap(RUN, 2, shortest=True, holds=(), afterwards=False)
FAILS, HOLDS = Outcome(Verdict.FAILS), Outcome(Verdict.HOLDS)
UNKNOWN = Outcome(Verdict.UNKNOWN, reason="the judge accepted no proof")
PROVED = Outcome(Verdict.FAILS, engine="lemmas", by=("z3", "cvc5"))
STUCK = Stuck(GOAL, FAILS, TRAP, states=9, stuck=4)
ACT = Mistake(Loss.ACT, (PRESS,), RUN, afterwards=False)


def told(found: Stuck) -> str:
    board, stream = paper(100)
    write_stuck(board, found)
    return " ".join(stream.getvalue().split())


@pytest.mark.parametrize(
    ("found", "sentences"),
    [
        (
            Stuck(GOAL, HOLDS, states=6, stuck=0),
            [
                "nobody can get stuck: whatever was done, the goal can still be reached",
                "every state that can come was tried: none of 6 is stuck",
            ],
        ),
        (
            STUCK,
            [
                "people can get stuck: from 3 s on the goal can't be reached any more",
                "every state that can come was tried: 4 of 9 are stuck, and nobody is stuck sooner",
            ],
        ),
        (
            Stuck(GOAL, PROVED),
            ["the goal can't be reached at all, from the start on", "proved (lemmas, z3, cvc5)"],
        ),
        (
            Stuck(GOAL, UNKNOWN, why="too many states"),
            [
                "unknown: neither a dead end nor a proof that there is none was found",
                "the judge accepted no proof",
                "too many states",
            ],
        ),
        (
            replace(STUCK, outcome=UNKNOWN, stuck=1),
            [
                "unknown: people seem to be stuck from 3 s on",
                "the judge accepted no proof",
                "every state that can come was tried: 1 of 9 is stuck, and nobody is stuck sooner",
            ],
        ),
        (
            Stuck(GOAL, UNKNOWN, states=9, stuck=9),
            [
                "unknown: the goal seems out of reach",
                "the judge accepted no proof",
                "every state that can come was tried: 9 of 9 are stuck",
            ],
        ),
        (
            Stuck(GOAL, UNKNOWN, states=9, stuck=0),
            [
                "unknown: nobody seems to get stuck",
                "the judge accepted no proof",
                "every state that can come was tried: none of 9 is stuck",
            ],
        ),
        (
            Stuck(GOAL, FAILS, replace(TRAP, afterwards=True)),
            [
                "people can get stuck: from 3 s on the goal can't be reached any more",
                "others may be stuck sooner",
                "but only those get stuck who have reached the goal before",
            ],
        ),
    ],
)
def test_what_is_known(found: Stuck, sentences: list[str]) -> None:
    assert list(verdict(found)) == sentences


@pytest.mark.parametrize(
    ("hold", "words"),
    [
        (Hold("guest.place", 0), "guest is in yard"),
        (Hold("guest.place", 2), "guest is between yard and cellar"),
        (Hold("guest.place", 0, "guest.place is cellar"), "guest is never in cellar again"),
        (Hold("guest.place", 0, "guest.place is yard -> cellar"), "guest is never between yard"),
        (Hold("turns", 0, "turns > 1"), "`turns > 1` never again"),
        (Hold("turns", 1, "turns > 1"), "`turns > 1` stays so"),
        (Hold("pin", 1), "pin stays live"),
        (Hold("pin", 0), "pin stays dead"),
        (Hold("turns", 2), "turns stays at 2"),
        (Hold("mood", 1), "mood stays at cross"),
        (Hold("left", 0), "left does not run"),
        (Hold("stays.left", 0), "stays does not run"),
    ],
)
def test_what_holds_people_there(hold: Hold, words: str) -> None:
    assert hold_words(SYSTEM.design, hold).startswith(words)


def test_doors_that_hold_people_there() -> None:
    (gate,) = (part for part in SYSTEM.design.parts if part.path == "gate")
    (kept,) = {net.path for net in gate.kept}
    assert hold_words(SYSTEM.design, Hold(kept, 0)) == "gate never opens"
    assert hold_words(SYSTEM.design, Hold(kept, 1)) == "gate is never shut"


def test_more_than_a_dozen_holds_are_counted() -> None:
    held = replace(TRAP, holds=(Hold("pin", 1),) * 14)
    assert "What holds it so for ever: pin stays live; " in told(replace(STUCK, trap=held))
    assert "pin stays live; 2 more." in told(replace(STUCK, trap=held))


@pytest.mark.parametrize(
    ("mistakes", "trap", "words"),
    [
        ((ACT,), TRAP, "press ask"),
        ((), replace(TRAP, trace=trace(SYSTEM, (3, {}))), "nobody acted in time"),
        ((replace(ACT, loss=Loss.LUCK),), TRAP, "a span that was drawn so"),
    ],
)
def test_what_lost_the_goal(mistakes: tuple[Mistake, ...], trap: Trap, words: str) -> None:
    found = replace(STUCK, trap=trap, mistakes=mistakes)
    assert lost_by(found, trap) == f"what lost it: {words}"
    (sentence,) = moments(found, trap)
    assert sentence.startswith("The last moment at which it could be reached was 2 s; what lost")


def test_where_the_last_moment_is_not_known_nothing_is_said_of_it() -> None:
    unknown = replace(TRAP, lost=None)
    assert not list(moments(replace(STUCK, trap=unknown), unknown))


@pytest.mark.parametrize(
    ("mistake", "words"),
    [
        (ACT, "press ask"),
        (replace(ACT, loss=Loss.IDLE, moves=()), "nobody acts in time"),
        (replace(ACT, loss=Loss.LUCK, moves=()), "luck: a span is drawn so"),
        (replace(ACT, loss=Loss.LUCK), "luck: a span is drawn so, after press ask"),
    ],
)
def test_acts(mistake: Mistake, words: str) -> None:
    assert act_words(Teller(SYSTEM), mistake) == words


def test_ways_to_lose_the_goal() -> None:
    one = told(replace(STUCK, mistakes=(ACT,)))
    assert "It can be lost in this way only: 1. press ask (2 s at the soonest)" in one
    late = replace(ACT, trace=trace(SYSTEM, (1, {"ask.hand": 1}), (3, {}), (1, {"ask.hand": 1})))
    many = told(replace(STUCK, mistakes=(replace(late, afterwards=True),) * 8))
    assert (
        "How the goal can be lost:"
        " 1. press ask (4 s at the soonest, once the goal has been reached) after 0 s press ask 2."
        in many
    )
    assert "6. press ask" in many
    assert "7. press ask" not in many
    assert "0 s press ask 2 more" in many
