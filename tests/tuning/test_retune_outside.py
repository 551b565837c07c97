"""Retuning finds the thresholds of worked examples from outside, and asks for few answers.

Each design and its sources stand in tests/outside; here its spans are settings.
"""

import pytest

from tests.outside import test_crossing_gate, test_waiting_exclusion, test_yellow_light
from tests.tuning.make import rig_of
from verifier.tuning.dials import stand
from verifier.tuning.retune import Aim, Goal, Search


def best(text: str, claims: list[str], goal: Goal, most: int) -> tuple[int, ...]:
    """Return the best setting, found with so many answers at the most."""
    rig = rig_of(text)
    with Search(rig, most) as search:
        found = search.find(claims, goal)
    assert found.at is not None
    assert found.best
    assert not found.unsure
    assert rig.calls <= most
    return found.at


# --- mutual exclusion by waiting: L. Lamport, ACM TOCS 5(1) 1987 ---------------------------------


def gate(write: str) -> str:
    text = test_waiting_exclusion.DESIGN.replace("LONG ticks, WAIT ticks", "write, wait")
    settings = f"setting write = {write}\n  setting wait = 3 ticks tunable 1 tick .. 100 ticks"
    return text.replace("design gate {", f"design gate {{\n  {settings}")


@pytest.mark.parametrize("write", [1, 7])
def test_wait_longer_than_the_write(write: int) -> None:
    text = gate(f"{write} ticks")
    assert best(text, ["alone", "gets_in"], Goal(Aim.LEAST, 0), 30) == (write + 1,)


def test_exactly_the_settings_with_a_longer_wait_serve() -> None:
    """Four runs and a point rule out all settings whose wait is no longer, and no other one."""
    text = gate("5 ticks tunable 1 tick .. 100 ticks")
    rig = rig_of(text)
    with Search(rig, 100) as search:
        found = search.find(["alone", "gets_in"], Goal(Aim.MOST, 0))
    assert found.at == (99, 100)
    ruled = search.regions["alone"]
    for write in range(1, 101):
        for wait in range(1, 101):
            fails = any(one.holds((write, wait)) for one in ruled)
            assert fails is (wait <= write)
    assert rig.calls <= 30


# --- the railway crossing: 49 CFR 234.223 and 234.225 --------------------------------------------


def crossing(wait: str, lowers: str, shuts: str = "5 s") -> str:
    text = test_crossing_gate.DESIGN.replace("shuts: 5 s", "shuts: shuts")
    text = text.replace("WAIT", "wait").replace("LOWERS", "lowers")
    settings = f"setting wait = {wait}\n  setting lowers = {lowers}\n  setting shuts = {shuts}"
    return text.replace("tick 500 ms", f"tick 500 ms\n  {settings}")


CROSSING = ["lights_first", "warned_in_time", "level_first", "kept_down"]


def test_the_least_delay_of_the_arm() -> None:
    """3 s of lights are 6 ticks, one of which the arm takes to answer."""
    text = crossing("5 s tunable 1 tick .. 100 ticks", "10 s")
    assert best(text, CROSSING, Goal(Aim.LEAST, 0), 60) == (5,)


def test_the_slowest_arm_that_will_do() -> None:
    """20 s less 5 s level, less 3 s and a tick before the arm moves: 11.5 s."""
    text = crossing("3 s", "5 s tunable 1 tick .. 100 ticks")
    assert best(text, CROSSING, Goal(Aim.MOST, 0), 60) == (23,)


def test_a_million_settings_by_few_answers() -> None:
    full = "tunable 1 tick .. 100 ticks"
    text = crossing(f"3 s {full}", f"10 s {full}", f"5 s {full}")
    assert best(text, CROSSING, Goal(Aim.MOST, 0), 100)[:2] == (28, 1)


# --- the yellow light: COMAR 11.04.14.03, MUTCD --------------------------------------------------


@pytest.mark.parametrize(("mph", "exact"), [(25, 2_900), (45, 4_300), (70, 6_000)])
def test_the_yellow_light_in_half_seconds(mph: int, exact: int) -> None:
    """The least number of half seconds not below the formula (in tenths, rounded up) nor 3 s."""
    text = test_yellow_light.DESIGN.split("  claim span")[0].replace("tick 500 ms", "tick 100 ms")
    text = text.replace("SPAN ms", "5 * half").replace(
        "tick 100 ms", "tick 100 ms\n  setting half = 1 tick tunable 1 tick .. 20 ticks"
    )
    text += f"  claim long: yellow.on lasts at least {exact} ms\n"
    text += "  claim limits: yellow.on lasts 3 s .. 6 s\n}\n"
    (half,) = best(text, ["long", "limits"], Goal(Aim.LEAST, 0), 30)
    assert half * 500 == test_yellow_light.yellow_ms(mph)


def test_dials_stand_where_the_design_says() -> None:
    rig = rig_of(gate("5 ticks tunable 1 tick .. 100 ticks"))
    assert stand(rig.dials) == (5, 3)
