"""Where people get stuck: planted traps, mended ones, traps of time, and what holds them."""

from pathlib import Path

import pytest

from tests.puzzle.desk import asked
from verifier.design.model import Design
from verifier.engines.contract import Budget
from verifier.engines.decide import Effort
from verifier.puzzle import stuck as module
from verifier.puzzle.goal import Goal
from verifier.puzzle.stuck import Stuck, Trap, find_stuck
from verifier.puzzle.stuck_acts import Loss
from verifier.puzzle.stuck_space import Explored, explore
from verifier.report.route import Teller
from verifier.report.stuck import act_words, hold_words, verdict
from verifier.verdict.answer import Outcome, Verdict
from verifier.verdict.replay import follow

DESIGNS = Path(__file__).parents[2] / "designs"


def garden(name: str, words: str) -> Goal:
    return asked((DESIGNS / f"{name}.latch").read_text(encoding="utf-8"), words)


def trap_of(found: Stuck) -> Trap:
    assert found.outcome.verdict is Verdict.FAILS
    assert found.outcome.by
    assert found.trap is not None
    assert follow(found.goal.system, found.trap.trace).ruling.sound
    return found.trap


def holds(design: Design, trap: Trap) -> list[str]:
    return [hold_words(design, one) for one in trap.holds]


def acts(found: Stuck) -> list[tuple[str, int]]:
    teller = Teller(found.goal.system)
    return [(act_words(teller, one), one.trace.length - 1) for one in found.mistakes]


# --- the designs of the garden -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("lever_vault", "guest is in vault"),
        ("lever_vault_bypass", "guest is in vault"),
        ("trapdoor", "guest is in bower"),
        ("lever_lock", "gate.open"),
    ],
)
def test_nobody_gets_stuck(name: str, words: str) -> None:
    found = find_stuck(garden(name, words), Effort())
    assert found.outcome.verdict is Verdict.HOLDS
    assert found.outcome.by
    assert found.trap is None
    assert not found.mistakes
    assert found.stuck == 0


def test_a_wrong_pull_drops_the_pin() -> None:
    found = find_stuck(garden("lever_vault_trap", "guest is in vault"), Effort())
    trap = trap_of(found)
    assert (trap.lost, trap.trace.length, trap.shortest, trap.afterwards) == (1, 2, True, False)
    said = acts(found)
    assert said[:3] == [
        ("press pull[2]", 1),
        ("press pull[3]", 1),
        ("press pull[1] and press pull[2]", 2),
    ]
    assert ("press pull[1]", 1) not in said
    assert "pin stays live" in holds(found.goal.system.design, trap)


def test_two_visitors_in_the_right_walk_are_caught() -> None:
    found = find_stuck(garden("maze", "guest is in lawn and friend is in lawn"), Effort())
    trap = trap_of(found)
    assert trap.lost == 4
    assert sorted(holds(found.goal.system.design, trap)) == [
        "friend is in right",
        "guest is in right",
        "last_gate never opens",
        "right_gate never opens",
    ]
    assert acts(found)[0] == ("guest goes to right and friend goes to right", 4)
    assert not any(one.afterwards for one in found.mistakes)


# --- what counts ---------------------------------------------------------------------------------

# Two timers of one period; a press starts the second, and they then strike together or never.
OSCILLATORS = """
design oscillators {
  tick 1 s
  free hand: signal
  keep one: timer
  keep other: timer
  keep started: flag
  one loads 4 s when one = 0 s
  other loads 4 s when other = 0 s and (started or starts_now)
  let starts_now = hand and not started and one <= 2 s
  started becomes yes when starts_now
  let together = started and one = 0 s and other = 0 s
}
"""


def test_equal_oscillators_are_out_of_phase_for_ever() -> None:
    """Of three presses that count two are wrong: twice the five states of a period."""
    goal = asked(OSCILLATORS, "together")
    found = find_stuck(goal, Effort())
    trap = trap_of(found)
    assert found.stuck == 10
    assert trap.shortest
    assert {(one.loss, one.trace.length - 1) for one in found.mistakes} == {(Loss.ACT, 3)}


def test_a_trap_that_only_time_springs() -> None:
    text = """
    design sleeper {
      tick 1 s
      free hand: signal
      keep left: timer = 5 s
      keep made: flag
      made becomes yes when hand and left > 0 s
    }
    """
    found = find_stuck(asked(text, "made"), Effort())
    trap = trap_of(found)
    assert [one.loss for one in found.mistakes] == [Loss.IDLE]
    assert trap.lost == 4
    assert holds(found.goal.system.design, trap) == ["made stays dead", "left does not run"]


def test_a_trap_of_luck() -> None:
    text = """
    design lottery {
      tick 1 s
      free hand: signal
      keep left: timer
      keep drawn: flag
      keep won: flag
      left loads 2 s .. 3 s when hand and not drawn
      drawn becomes yes when hand
      won becomes yes when drawn and left = 3 s
    }
    """
    found = find_stuck(asked(text, "won"), Effort())
    assert [one.loss for one in found.mistakes] == [Loss.LUCK]
    assert trap_of(found).lost == 0


def test_a_goal_that_is_reached_only_once() -> None:
    text = """
    design once {
      tick 1 s
      free hand: signal
      keep at: count 0 .. 2
      at becomes at + 1 when hand starts and at < 2
    }
    """
    trap = trap_of(find_stuck(asked(text, "at = 1"), Effort()))
    assert trap.afterwards


def test_a_goal_that_can_not_be_reached_at_all() -> None:
    text = """
    design never_ {
      tick 1 s
      free hand: signal
      keep made: flag
      made becomes no when hand
    }
    """
    found = find_stuck(asked(text, "made"), Effort())
    assert found.outcome.verdict is Verdict.FAILS
    assert found.outcome.by
    assert found.trap is None
    assert found.states == found.stuck == 1


def test_runs_that_break_an_assumption_do_not_count() -> None:
    text = """
    design kept {
      tick 1 s
      free hand: signal
      keep bad: flag
      keep worse: flag
      bad becomes yes when hand
      worse becomes yes when bad
      ASSUME
      let fine = not bad
    }
    """
    free = find_stuck(asked(text.replace("ASSUME", ""), "fine"), Effort())
    assert trap_of(free).lost == 0
    kept = find_stuck(asked(text.replace("ASSUME", "assume never worse"), "fine"), Effort())
    assert kept.outcome.verdict is Verdict.HOLDS
    assert kept.states == 1


def test_nothing_is_said_where_no_run_counts() -> None:
    text = """
    design hopeless {
      tick 1 s
      free hand: signal
      keep left: timer = 3 s
      let over = left = 0 s
      assume never over
    }
    """
    found = find_stuck(asked(text, "hand"), Effort())
    assert found.outcome.verdict is Verdict.UNKNOWN
    assert found.trap is None


# --- more states than can be tried ---------------------------------------------------------------

CROWDED = """
design crowded {
  tick 1 s
  free hand[1..12]: signal
  keep pin: flag
  pin becomes yes when at least 3 of hand
  let fine = not pin and at least 2 of hand
}
"""


def test_with_too_many_hands_the_engines_are_asked() -> None:
    goal = asked(CROWDED, "fine")
    assert not isinstance(explore(goal, Budget.of(1)), Explored)
    found = find_stuck(goal, Effort())
    trap = trap_of(found)
    assert found.states is None
    assert not trap.shortest
    assert trap.lost == trap.trace.length - 1


@pytest.mark.parametrize(
    ("name", "words", "seems"),
    [
        ("lever_vault_trap", "way_in", "people seem to be stuck from 1.0 s on"),
        ("lever_vault", "guest is in vault", "nobody seems to get stuck"),
        ("lever_vault", "guest is in vault and guest is in court", "the goal seems out of reach"),
    ],
)
def test_what_no_judge_has_accepted_is_unknown(
    name: str, words: str, seems: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever the search found: it is shown, and called unknown."""

    class Nobody:
        def __init__(self, *_: object, **__: object) -> None:
            pass

        def decide(self, _: object) -> Outcome:
            return Outcome(Verdict.UNKNOWN)

    monkeypatch.setattr(module, "listed", lambda *_: None)
    monkeypatch.setattr(module, "Decider", Nobody)
    found = find_stuck(garden(name, words), Effort())
    assert found.outcome.verdict is Verdict.UNKNOWN
    assert (found.trap is not None) == (name == "lever_vault_trap")
    told = list(verdict(found))
    assert told[0] == f"unknown: {seems}"
    assert told[1] == "every state was tried, and no proof of it was accepted"
    assert not any("proved (" in one for one in told)
