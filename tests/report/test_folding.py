"""How time is laid out: everything once, in order, within the room there is."""

from hypothesis import given
from hypothesis import strategies as st

from verifier.report.folding import Rule, lay_out

RULE = Rule(columns=64, breaths=[4], words=lambda ticks: f"{ticks} s")


@st.composite
def events(draw: st.DrawFn) -> tuple[list[int], int]:
    gaps = draw(st.lists(st.one_of(st.integers(1, 5), st.integers(1, 10**6)), max_size=60))
    ticks = [0]
    for gap in gaps:
        ticks.append(ticks[-1] + gap)
    return ticks, ticks[-1] + draw(st.integers(1, 1000))


@given(events(), st.integers(26, 120), st.integers(3, 8))
def test_stretches_cover_all_time_within_the_columns(
    found: tuple[list[int], int], columns: int, breath: int
) -> None:
    ticks, length = found
    panels = lay_out(ticks, length, Rule(columns, [breath, 3], RULE.words))
    flat = [one for panel in panels for one in panel]
    assert [one.start for one in flat] == ticks
    assert [one.end for one in flat] == [*ticks[1:], length]
    for panel in panels:
        assert sum(one.columns for one in panel) <= columns
    assert all(one.columns >= 3 for one in flat)


@given(events())
def test_a_fold_has_room_for_its_length(found: tuple[list[int], int]) -> None:
    for panel in lay_out(*found, RULE):
        for one in panel:
            assert one.words in (f"{one.end - one.start} s", "")
            assert one.folded or not one.words
            assert one.columns >= len(one.words) + 5 * one.folded


def test_equal_stretches_are_drawn_equal_and_none_is_folded() -> None:
    (panel,) = lay_out([0, 10, 20, 30], 40, RULE)
    assert len({one.columns for one in panel}) == 1
    assert not any(one.folded for one in panel)


def test_waiting_is_folded_between_events() -> None:
    (panel,) = lay_out([0, 1, 2, 1000, 1001], 1002, RULE)
    assert [one.folded for one in panel] == [False, False, True, False, False]


def test_what_is_twice_as_long_is_wider() -> None:
    (panel,) = lay_out([0, 10, 30], 40, RULE)
    assert panel[1].columns == 2 * panel[0].columns


def test_many_events_go_on_in_further_panels() -> None:
    panels = lay_out(list(range(40)), 40, RULE)
    assert len(panels) == 3
    sizes = [sum(one.columns for one in panel) for panel in panels]
    assert max(sizes) - min(sizes) <= 2 * 4
