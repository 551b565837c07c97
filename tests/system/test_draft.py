"""Registers and clocks as they are added: names of their own, nothing twice, nothing forgotten."""

import pytest

from verifier.system.draft import Draft
from verifier.system.model import Clock, Load, Register


def test_a_register_has_its_name_its_start_and_its_next_value() -> None:
    draft = Draft()
    one, other = draft.register("one"), draft.register("one", start=True, kept=True)
    draft.becomes(other, one)
    draft.becomes(one, other)
    assert draft.registers() == (
        Register("one", start=False, next=other, kept=False),
        Register("one (2)", start=True, next=one, kept=True),
    )


def test_what_was_a_tick_ago_is_kept_once_and_not_at_all_where_it_never_is() -> None:
    draft = Draft()
    one, other = draft.pool.pick(0, 1), draft.pool.pick(1, 1)
    assert draft.previous(draft.pool.no, "never") is draft.pool.no
    before = draft.previous(one, "one before")
    assert draft.previous(one, "again") is before
    assert draft.previous(other, "other before") is not before
    assert [(kept.name, kept.start, kept.next) for kept in draft.registers()] == [
        ("one before", False, one),
        ("other before", False, other),
    ]


def test_a_memory_is_set_within_its_bounds_and_kept_as_long_as_they_last() -> None:
    draft = Draft()
    within, start = draft.pool.pick(0, 1), draft.pool.pick(1, 1)
    before, now = draft.held("memory", within, start)
    assert now is draft.pool.and_(within, draft.pool.or_(start, before))
    assert draft.registers() == (Register("memory", start=False, next=now, kept=False),)


def test_loads_that_never_get_their_turn_are_left_out() -> None:
    draft = Draft()
    pool, when = draft.pool, draft.pool.pick(0, 1)
    loads = (Load(pool.no, 9, 9), Load(when, 2, 3), Load(pool.yes, 4, 4), Load(when, 5, 5))
    assert [draft.open_clock(), draft.open_clock()] == [0, 1]
    draft.set_clock(1, Clock("wait", 1, loads, when, kept=True))
    draft.set_clock(0, Clock("wait", 7, (), pool.yes, kept=False))
    assert draft.clocks() == (
        Clock("wait (2)", 7, (), pool.yes, kept=False),
        Clock("wait", 1, (Load(when, 2, 3), Load(pool.yes, 4, 4)), when, kept=True),
    )


def test_a_countdown_that_never_shows_anything_is_no_clock() -> None:
    draft = Draft()
    when = draft.pool.pick(0, 1)
    assert draft.countdown("nothing", [Load(when, 0, 0)]) is draft.pool.no
    assert draft.clocks() == ()
    assert draft.countdown("first", [], start=1) is draft.pool.above(0, 0)
    assert draft.countdown("second", [Load(when, 1, 1)]) is draft.pool.above(1, 0)
    assert draft.clocks() == (
        Clock("first", 1, (), draft.pool.yes, kept=False),
        Clock("second", 0, (Load(when, 1, 1),), draft.pool.yes, kept=False),
    )


def test_what_was_left_open_is_an_error_of_ours() -> None:
    draft = Draft()
    draft.register("lost")
    draft.open_clock()
    with pytest.raises(AssertionError, match="lost"):
        draft.registers()
    with pytest.raises(AssertionError, match="clock 0"):
        draft.clocks()
