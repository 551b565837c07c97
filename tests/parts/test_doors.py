"""Doors, against a plain reading of what their text promises."""

from hypothesis import given
from hypothesis import strategies as st

from tests.parts.bench import bench, levels, traced

OPENS, SHUTS = 3, 4
DOORS = {
    first: bench(
        "free a: signal\nmains : supply(1)\nmains -> part\na -> part.told\n"
        f"part : door(opens: {OPENS} ticks, shuts: {SHUTS} ticks, starts: {first})",
        "part.open",
        "part.shut",
        "part.ajar",
        "part.moving",
    )
    for first in ("shut", "open")
}


@given(levels(9), st.sampled_from(("shut", "open")))
def test_door_takes_its_full_travel_time(told: list[bool], first: str) -> None:
    """Where the door stands follows from what it was told last, and for how long."""
    last = first == "open"
    still = 99
    for level, one in zip(told, DOORS[first].run({"a": told}), strict=True):
        moving = still < (OPENS if last else SHUTS)
        assert one == {
            "part.open": int(last and not moving),
            "part.shut": int(not last and not moving),
            "part.ajar": int(last or moving),
            "part.moving": int(moving),
        }
        still = still + 1 if level == last else 0
        last = level


@given(levels())
def test_door_without_power_shuts(fed: list[bool]) -> None:
    body = (
        "free a: signal\nmains : supply(1, drops: 0)\na -> mains.told\n"
        "part : door(opens: 1 tick, shuts: 1 tick)\nmains -> part"
    )
    shown = traced(bench(body, "part.ajar").run({"a": fed}), "part.ajar")
    before = [False, False, *fed]
    assert shown == [before[tick + 1] or before[tick] for tick in range(len(fed))]
