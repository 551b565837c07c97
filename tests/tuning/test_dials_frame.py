"""Numbers of ticks as sums of dials, against the designs made with them; what is no length."""

import random

import pytest

from tests.tuning.make import random_design, rig_of
from verifier.system.cone import cone
from verifier.tuning.dials import NoDialError, dials, stand
from verifier.tuning.dials_box import widened
from verifier.tuning.dials_frame import Frames, numbers_of, shape_of
from verifier.tuning.dials_rig import question

LENGTHS = """
design spans {
  tolerance 7 %
  setting one = 9 ticks tunable 3 ticks .. 60 ticks
  setting two = 4 ticks tunable 3 ticks .. 30 ticks
  setting half = 8 ticks tunable 2 ticks .. 20 ticks
  setting less = 2 ticks tunable 1 tick .. 3 ticks
  setting asked = 5 ticks tunable 1 tick .. 9 ticks
  free ask: signal
  keep first: timer
  first loads one + 2 * two when ask, one .. one + two when not ask
  keep second: timer
  second loads half div 2 when ask, 30 ticks - less when not ask
  claim long: first > asked lasts at most one + 1 tick
}
"""


def test_what_is_compared_divided_or_taken_away_is_pinned() -> None:
    rig = rig_of(LENGTHS)
    assert rig.made(stand(rig.dials)).design.pinned == {"half", "less", "asked"}


def test_numbers_are_predicted_with_a_tolerance_too() -> None:
    rig = rig_of(LENGTHS)
    at = stand(rig.dials)
    frame = Frames(rig).around(at)
    assert frame is not None
    assert frame.numbers is not None
    dice = random.Random(1)
    for _ in range(12):
        there = (dice.randint(3, 60), dice.randint(3, 30), *at[2:])
        predicted = tuple(one.at(there) for one in frame.numbers)
        assert predicted == numbers_of(rig.made(there))


@pytest.mark.parametrize("seed", range(6))
def test_a_box_has_one_shape_and_all_loads(seed: int) -> None:
    rig = rig_of(random_design(seed, most=12))
    frame = Frames(rig).around(stand(rig.dials))
    assert frame is not None
    whole = widened(rig, frame.low, frame.high, "fed")
    assert whole is not None
    fed = question(whole, "fed")
    dice = random.Random(seed)
    for _ in range(6):
        sides = zip(frame.low, frame.high, strict=True)
        system = rig.made(tuple(dice.randint(low, high) for low, high in sides))
        assert shape_of(system) == shape_of(whole)
        pairs = list(zip(system.clocks, whole.clocks, strict=True))
        for one, wide in (pairs[index] for index in cone(whole, [fed.bad]).clocks):
            for load, wider in zip(one.loads, wide.loads, strict=True):
                assert wider.low <= load.low <= load.high <= wider.high


def test_pinned_dials_make_no_box() -> None:
    rig = rig_of(LENGTHS)
    at = stand(rig.dials)
    assert widened(rig, at, (*at[:4], 7), "long") is None
    assert widened(rig, at, (20, *at[1:]), "long") is not None


def test_dials_are_single_times_and_numbers() -> None:
    text = "design lamp {\n  setting dim = 2 s .. 3 s\n  setting many = 3\n  setting on = yes\n"
    rig = rig_of(
        text + "  keep x: count 0 .. many\n  claim c: never x = 4 and on\n"
        "  keep t: timer\n  t loads dim when on\n}\n",
        every=True,
    )
    assert [dial.name for dial in rig.dials] == ["many"]
    design = rig.made(stand(rig.dials)).design
    for turned in ({"dim": ("1 s", "2 s")}, {"many": ("1 s", "2 s")}, {"many": ("5", "4")}):
        with pytest.raises(NoDialError):
            dials(design, turned, every=False)


def test_a_setting_that_is_no_design_has_no_frame() -> None:
    rig = rig_of("""design d {
  setting many = 5 tunable 0 .. 6
  setting span = 3 ticks tunable 1 tick .. 9 ticks
  free ask: signal
  keep n: count 0..many = 2
  n becomes 0 when ask
  keep wait: timer
  wait loads span when ask
  claim c: never n > many
}""")
    frames = Frames(rig)
    assert frames.around((1, 3)) is None
    frame = frames.around((5, 3))
    assert frame is not None
    assert (frame.low, frame.high) == ((5, 1), (5, 9))
    assert frames.around((5, 8)) is frame
