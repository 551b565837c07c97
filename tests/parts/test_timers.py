"""Timers where no standard says all: started again, or with power that comes and goes."""

from collections.abc import Sequence

from hypothesis import given

from tests.parts.bench import Bench, bench, levels, starts, traced

TOLD = "free a: signal\nmains : supply(2)\nmains -> part\na -> part.start\n"
AGAIN = bench(
    f"{TOLD}part : pulse(4 ticks, again: yes)",
    "part.on",
)
RUNS_ON = bench(
    f"{TOLD}part : off_delay(4 ticks, again: no)",
    "part.on",
)
FLASHER = bench(
    "free a: signal\nmains : supply(3)\nmains -> part\na -> part.told\n"
    "part : flasher(lit: 3 ticks, dark: 2 ticks)",
    "part.on",
    "part.out",
)
TOGGLE = bench(
    "free a: signal\nfree b: signal\npart : toggle\na -> part.press\nb -> part.reset", "part.out"
)


@given(levels())
def test_pulse_again_is_on_after_any_start(told: list[bool]) -> None:
    """On at t just when a start lies 1 to 4 ticks back."""
    expected = [any(1 <= tick - start <= 4 for start in starts(told)) for tick in range(len(told))]
    assert traced(AGAIN.run({"a": told}), "part.on") == expected


@given(levels())
def test_off_delay_that_runs_on(told: list[bool]) -> None:
    """Letting go opens a window of 4 ticks unless one is open; on while told or in a window."""
    until, expected, was = -1, [], False
    for tick, level in enumerate(told):
        if was and not level and tick >= until:
            until = tick + 4
        expected.append(level or tick < until)
        was = level
    assert traced(RUNS_ON.run({"a": told}), "part.on") == expected


@given(levels(12))
def test_flasher_counts_from_where_it_is_told(told: list[bool]) -> None:
    """Told from t on: lit at t + 1 .. t + 3, dark for 2 ticks, and so on."""
    shown, since = FLASHER.run({"a": told}), 0
    for tick, level in enumerate(told):
        since = since + 1 if level else 0
        if tick + 1 < len(told):
            assert shown[tick + 1]["part.on"] == int(level and (since - 1) % 5 < 3)
    assert all(one["part.out"] == 2 * one["part.on"] for one in shown)


@given(levels(3), levels(3))
def test_toggle_changes_at_each_start(press: list[bool], reset: list[bool]) -> None:
    ticks = min(len(press), len(reset))
    shown = traced(TOGGLE.run({"a": press[:ticks], "b": reset[:ticks]}), "part.out")
    held, expected, begins = False, [], set(starts(press))
    for tick in range(ticks):
        expected.append(held)
        held = not reset[tick] and (held != (tick in begins))
    assert shown == expected


COUNTER = bench(
    "free u: signal\nfree d: signal\nfree r: signal\nfree l: signal\n"
    "part : counter(2, most: 3, start: 1)\n"
    "u -> part.up\nd -> part.down\nr -> part.reset\nl -> part.load",
    "part.value",
    "part.full",
    "part.empty",
)


@given(levels(2), levels(2), levels(4), levels(4))
def test_counter_both_ways(
    up: list[bool], down: list[bool], reset: list[bool], load: list[bool]
) -> None:
    """IEC 61131-3 CTUD, from memory: R, then LD, else one up or one down, not both."""
    ticks = min(map(len, (up, down, reset, load)))
    told = {"u": up[:ticks], "d": down[:ticks], "r": reset[:ticks], "l": load[:ticks]}
    value, rises, falls = 1, set(starts(up)), set(starts(down))
    for tick, one in enumerate(COUNTER.run(told)):
        assert one == {
            "part.value": value,
            "part.full": int(value >= 2),
            "part.empty": int(value <= 0),
        }
        step = (tick in rises) - (tick in falls)
        value = 0 if reset[tick] else 2 if load[tick] else min(3, max(0, value + step))


FAILING = {
    kind: bench(
        "free p: signal\nfree a: signal\nmains : supply(2, drops: 0)\np -> mains.told\n"
        f"part : {kind}\nmains -> part\na -> part.start",
        "part.on",
        "part.out",
    )
    for kind in ("pulse(3 ticks)", "on_delay(3 ticks)", "off_delay(3 ticks)")
}


def under(kind: str, power: Sequence[bool], told: Sequence[bool]) -> list[bool]:
    """Run a timer under power that comes and goes; its output is what it has to spare while on."""
    ticks = min(len(power), len(told))
    shown = FAILING[kind].run({"p": power[:ticks], "a": told[:ticks]})
    assert all(
        one["part.out"] == int(fed and one["part.on"])
        for fed, one in zip(power, shown, strict=False)
    )
    return traced(shown, "part.on")


@given(levels(9), levels(4))
def test_pulse_stands_still_without_power(power: list[bool], told: list[bool]) -> None:
    left, begins = 0, set(starts(told))
    for tick, on in enumerate(under("pulse(3 ticks)", power, told)):
        assert on == (left > 0)
        if power[tick]:
            left = 3 if tick in begins and left == 0 else max(0, left - 1)


@given(levels(9), levels(9))
def test_on_delay_begins_anew_after_loss_of_power(power: list[bool], told: list[bool]) -> None:
    asked = [fed and level for fed, level in zip(power, told, strict=False)]
    expected = [tick >= 3 and all(asked[tick - 3 : tick + 1]) for tick in range(len(asked))]
    assert under("on_delay(3 ticks)", power, told) == expected


@given(levels(9), levels(4))
def test_off_delay_is_out_after_loss_of_power(power: list[bool], told: list[bool]) -> None:
    """On while it has power and was told, with power all the while, 0 to 3 ticks ago."""
    for tick, on in enumerate(under("off_delay(3 ticks)", power, told)):
        recent = range(tick, max(-1, tick - 4), -1)
        assert on == any(told[ago] and all(power[ago : tick + 1]) for ago in recent)


def test_a_part_without_power_does_nothing() -> None:
    kinds = ("pulse(2 ticks)", "on_delay(1 tick)", "off_delay(2 ticks)")
    for kind in kinds:
        body = f"free a: signal\npart : {kind}\na -> part.start"
        shown: Bench = bench(body, "part.out")
        assert not any(one["part.out"] for one in shown.run({"a": [True] * 6}))
