"""Goals: claims by name, conditions, more walkers, and what is said of mistakes."""

import pytest

from tests.puzzle.desk import asked, told

GARDEN = """\
design garden {
  tick 500 ms
  rooms court, vault
  passage court -> vault when bolt
  walker guest starts in court
  bolt : lever(room: court)
  let goal = bolt
  claim in_time: possible guest is in vault within 2 s
  claim stays: always possible guest is in vault
  claim not_soon: guest is in vault no sooner than 1 s
  claim calm: bolt lasts at most 9 s
}
"""


@pytest.mark.parametrize(
    ("words", "limit"), [("in_time", 4), ("stays", None), ("not_soon", None), (" in_time ", 4)]
)
def test_a_claim_is_a_goal_without_its_limit(words: str, limit: int | None) -> None:
    goal = asked(GARDEN, words)
    assert (goal.words, goal.limit) == (words.strip(), limit)
    condition = asked(GARDEN, "guest is in vault")
    assert goal.question.limit is None
    assert str(goal.node) == str(condition.node)


def test_a_condition_may_name_what_the_design_names() -> None:
    goal = asked(GARDEN, "guest is in vault and  not goal")
    assert goal.words == "guest is in vault and not goal"
    assert [one.name for one in goal.system.design.claims] == ["goal_"]


def mistake(words: str) -> tuple[str, str]:
    goal, collector = told(GARDEN, words)
    assert goal is None
    found = next(one for one in collector.found if one.severity.value == "error")
    assert found.span is not None
    return found.code, f"{found.span.source.name}:{found.span.column}"


@pytest.mark.parametrize(
    ("words", "code", "place"),
    [
        ("guest is in valt", "unknown-name", "GOAL:13"),
        ("guest is in", "unreadable", "GOAL:7"),
        ("bolt and and bolt", "word-as-name", "GOAL:10"),
        ("bolt within 2 s", "unreadable", "GOAL:1"),
        ("bolt } design other { claim x: possible yes", "unreadable", "GOAL:1"),
        ("3", "no-condition", "GOAL:1"),
        ("", "unreadable", "GOAL:1"),
    ],
)
def test_mistakes_are_told_with_their_place_in_the_words(words: str, code: str, place: str) -> None:
    assert mistake(words) == (code, place)


def test_a_claim_of_another_form_is_no_goal() -> None:
    code, _ = mistake("calm")
    assert code == "wrong-type"


def test_more_walkers_start_where_the_one_does() -> None:
    goal = asked(GARDEN, "count of walkers in vault = 3", walkers=3)
    walkers = goal.system.design.walkers
    assert [one.name for one in walkers] == ["guest", "guest_2", "guest_3"]
    assert len({one.starts for one in walkers}) == 1


def test_a_name_that_is_taken_is_not_given_again() -> None:
    text = GARDEN.replace("walker guest", "walker guest_2 starts in vault\n  walker guest")
    goal = asked(text, "in_time", walkers=2)
    names = [one.name for one in goal.system.design.walkers]
    assert len(names) == len(set(names)) == 4
