"""What a goal can be reached without: the planted hole, nothing on the mended vault, and orders."""

from pathlib import Path

import pytest

from tests.outside.desk import goal as puzzle_goal
from tests.puzzle.desk import asked
from verifier.engines.decide import Effort
from verifier.puzzle.bypass import Bypass, Row, bypass
from verifier.puzzle.bypass_ask import Asker, without
from verifier.puzzle.bypass_elements import Element, elements_of, first_uses
from verifier.puzzle.goal import Goal
from verifier.report.bypass import names
from verifier.verdict.replay import replay

DESIGNS = Path(__file__).parents[2] / "designs"


def garden(name: str, words: str, walkers: int = 1) -> Goal:
    return asked((DESIGNS / f"{name}.latch").read_text(encoding="utf-8"), words, walkers)


def rows(found: Bypass) -> dict[str, Row]:
    return {row.element.name: row for row in found.rows}


def spared(found: Bypass) -> set[str]:
    return {row.element.name for row in found.rows if row.needed is False}


def chains(found: Bypass) -> list[list[str]]:
    assert found.orders is not None
    return [names(chain) for chain in found.orders.chains()]


def is_sound(found: Bypass) -> bool:
    """Whether each way does without what it is said to, and each need is proved and judged."""
    for row in found.rows:
        if row.way is None:
            if not row.found.proved:
                return False
            continue
        trace = found.ways[row.way].route.trace
        manner = without(found.goal, [row.element.used])
        if not replay(manner.system, trace, manner.target, anywhere=False).ruling.sound:
            return False
        if row.element in first_uses(found.goal.system, [row.element], trace):
            return False
    return True


# --- the designs of the garden -------------------------------------------------------------------


def test_the_vault_has_no_other_way_in() -> None:
    found = bypass(garden("lever_vault", "guest is in vault"), Effort())
    assert spared(found) == {"cellar", "court <-> cellar", "vault -> cellar"}
    assert is_sound(found)
    assert chains(found) == [["gallery", "pull[1]", "pull[2]", "pull[3]", "vault"]]
    assert found.sets is not None
    assert found.sets.complete
    assert found.sets.found == ((),)


def test_the_chute_that_can_be_climbed_is_found() -> None:
    found = bypass(garden("lever_vault_bypass", "guest is in vault"), Effort())
    assert {"pull[1]", "pull[2]", "pull[3]", "gallery", "gate"} <= spared(found)
    assert rows(found)["vault"].needed
    assert is_sound(found)
    first = found.ways[0]
    assert names(list(first.first)) == ["cellar", "vault", "court <-> cellar", "cellar <-> vault"]
    assert found.sets is not None
    assert found.sets.complete
    cellar, levers = (names(one) for one in found.sets.found)
    assert cellar == ["cellar", "court <-> cellar", "cellar <-> vault"]
    assert levers[:4] == ["pull[1]", "pull[2]", "pull[3]", "gallery"]
    assert levers[4:] == ["court <-> gallery", "gallery <-> vault", "gate"]


def test_two_visitors_need_all_of_the_maze() -> None:
    found = bypass(garden("maze", "together"), Effort())
    assert not spared(found)
    assert is_sound(found)
    assert found.sets is None
    assert chains(found) == [["left", "right", "heart"]]


def test_a_lever_that_begins_right_need_not_be_touched() -> None:
    found = bypass(garden("lever_lock", "gate.open"), Effort())
    assert spared(found) == {"row[1]", "row[3]"}
    assert is_sound(found)


def test_with_no_way_there_is_nothing_to_go_round() -> None:
    found = bypass(puzzle_goal("slide", "parity"), Effort())
    assert not found.ways
    assert not found.rows
    assert found.quickest.outcome.by


def test_river_needs_all_and_the_goat_goes_first() -> None:
    """Classic (from memory): the goat crosses first; either of the others may follow."""
    found = bypass(puzzle_goal("river", "over"), Effort())
    assert not spared(found)
    assert found.orders is not None
    fixed = {(one.earlier.name, one.later.name) for one in found.orders.pairs if one.fixed}
    goat, wolf, cabbage = (f"aboard is {one}" for one in ("goat", "wolf", "cabbage"))
    assert {(goat, wolf), (goat, cabbage)} <= fixed | {(b, a) for a, b in fixed}
    assert not {(wolf, cabbage), (cabbage, wolf)} & fixed


# --- elements ------------------------------------------------------------------------------------

HOUSE = """
design house {
  tick 1 s
  rooms lawn, hall, loft
  passage lawn <-> hall
  passage hall -> loft when bolt takes 2 s .. 3 s
  walker guest starts in lawn
  bell_push : button(room: hall)
  bolt : lever(room: hall)
  tread : plate(room: loft)
  mains : supply(2)
  trap : on_delay(2 s)
  leaf : door(opens: 1 s, shuts: 1 s)
  mains -> trap -> leaf
  tread -> trap.start
  free wind: one of (none_, north, south)
  let there = leaf.open and wind is not south
}
"""


def kinds(goal: Goal) -> list[tuple[str, str, str]]:
    return [(one.kind.value, one.name, one.what) for one in elements_of(goal)]


def test_elements_of_all_kinds() -> None:
    assert kinds(asked(HOUSE, "there")) == [
        ("option", "wind is north", "choice"),
        ("option", "wind is south", "choice"),
        ("hand", "bell_push", "button"),
        ("hand", "bolt", "lever"),
        ("room", "hall", "room"),
        ("room", "loft", "room with tread"),
        ("passage", "lawn <-> hall", "passage"),
        ("passage", "hall -> loft", "passage"),
        ("part", "trap", "on_delay"),
        ("part", "leaf", "door"),
    ]


MARSH = """
design marsh {
  tick 1 s
  rooms hall, ford, isle, goal
  passage hall <-> ford
  passage ford -> isle
  passage isle -> goal when GUARD TAKES
  walker guest starts in hall
  keep wet[1..2]: flag
}
"""


@pytest.mark.parametrize("takes", ["", "takes 3 s"])
@pytest.mark.parametrize(
    "guard", ["not any of wet", "not (wet[1] or wet[2])", "not wet[1] and not wet[2]", "wet[1]"]
)
def test_passages_are_those_of_the_design_whatever_guards_them(guard: str, takes: str) -> None:
    goal = asked(MARSH.replace("GUARD", guard).replace("TAKES", takes), "guest is in goal")
    found = [name for kind, name, _ in kinds(goal) if kind == "passage"]
    assert found == ["hall <-> ford", "ford -> isle", "isle -> goal"]


def test_a_passage_that_is_never_open_is_none() -> None:
    text = MARSH.replace("isle -> goal when GUARD TAKES", "isle -> hall when no")
    found = [name for kind, name, _ in kinds(asked(text, "guest is in isle")) if kind == "passage"]
    assert found == ["hall <-> ford", "ford -> isle"]


def used(goal: Goal, name: str) -> Element:
    return next(one for one in elements_of(goal) if one.name == name)


def test_a_hand_counts_in_its_room_alone() -> None:
    goal = asked(HOUSE, "bell_push.hand")
    assert Asker(goal, Effort()).ask(without(goal, [used(goal, "bell_push").used])).route
    pushed = asked(HOUSE, "bell_push")
    found = Asker(pushed, Effort()).ask(without(pushed, [used(pushed, "bell_push").used]))
    assert found.route is None
    assert found.proved


def test_the_goal_itself_may_not_use_what_is_spared() -> None:
    goal = asked(HOUSE, "guest is in hall")
    found = Asker(goal, Effort()).ask(without(goal, [used(goal, "hall").used]))
    assert found.route is None


# --- orders --------------------------------------------------------------------------------------

PAIR = """
design pair {
  tick 1 s
  free first: signal
  free second: signal
  keep one: flag
  keep other: flag
  one becomes yes when first
  other becomes yes when second starts CONDITION
  let both = one and other
}
"""


@pytest.mark.parametrize(
    ("condition", "wanted"), [("", []), ("and one", [["first", "second"]])], ids=["free", "fixed"]
)
def test_orders_of_two_levers(condition: str, wanted: list[list[str]]) -> None:
    found = bypass(asked(PAIR.replace("CONDITION", condition), "both"), Effort())
    assert chains(found) == wanted
    assert found.orders is not None
    (pair,) = found.orders.pairs
    assert pair.fixed is bool(wanted)
    if pair.found.route is not None:
        when = first_uses(found.goal.system, [pair.earlier, pair.later], pair.found.route.trace)
        assert when[pair.later] < when[pair.earlier]
