"""How often lights flash and alarms sound: figures of standards, against the rhythm of a design.

Level crossings: 35 to 65 flashes a minute, two lights in turn (49 CFR 234, MUTCD part 8; from
memory). Direction indicators of vehicles: 60 to 120 a minute (UN Regulation 6 and 48; from memory).
Seamarks: quick light 50 to 79 flashes a minute, very quick 80 to 159; isophase as long on as off;
occulting longer on than off (IALA dictionary; from memory). Evacuation signal: three pulses of half
a second, half a second apart, then 1.5 s of silence, a round of 4 s (ISO 8201, NFPA 72 18.4; from
memory).
"""

from fractions import Fraction

import pytest

from tests.outside.desk import broken, lit, loop, rhythm
from verifier.tuning.rhythm import Rhythm

# Two lights in turn, half a round each.
LIGHTS = """
design lights(half: time = 600 ms) {
  tick 10 ms
  mains : supply(1)
  west  : flasher(lit: half, dark: half)
  mains -> west
  keep begun: flag
  begun becomes yes
  let east = begun and not west.on
  claim in_turn: never west.on and east
  claim one_lit: always west.on or east or not begun
}
"""


def a_minute(found: Rhythm, name: str) -> Fraction:
    """Return how often an item goes on in a minute; ticks are 10 ms."""
    return Fraction(6_000 * len(lit(found, name)), loop(found)[1])


@pytest.mark.parametrize(
    ("half", "crossing", "vehicle", "seamark"),
    [
        ("870 ms", False, False, ""),
        ("850 ms", True, False, ""),
        ("600 ms", True, False, "quick"),
        ("500 ms", True, True, "quick"),
        ("470 ms", True, True, "quick"),
        ("460 ms", False, True, "quick"),
        ("370 ms", False, True, "very quick"),
        ("250 ms", False, True, "very quick"),
        ("240 ms", False, False, "very quick"),
        ("180 ms", False, False, ""),
    ],
)
def test_flashes_a_minute(half: str, crossing: bool, vehicle: bool, seamark: str) -> None:
    found = rhythm(LIGHTS, {"half": half})
    rate = a_minute(found, "west")
    assert rate == a_minute(found, "east") == Fraction(60_000, 2 * int(half.split(maxsplit=1)[0]))
    assert (35 <= rate <= 65) is crossing
    assert (60 <= rate <= 120) is vehicle
    named = "quick" if 50 <= rate < 80 else "very quick" if 80 <= rate < 160 else ""
    assert named == seamark


def test_two_lights_flash_in_turn() -> None:
    assert broken(LIGHTS) == set()
    (west,), (east,) = (lit(rhythm(LIGHTS), name) for name in ("west", "east"))
    assert west[1] - west[0] == east[1] - east[0] == 60


# A seamark, and two of the characters it may have.
SEAMARK = """
design seamark(on: time, off: time) {
  tick 100 ms
  mains : supply(1)
  light : flasher(lit: on, dark: off)
  mains -> light
  claim isophase: after light.on: not light.on lasts on
  claim occulting: after light.on: not light.on lasts at most on - 1 tick
}
"""


@pytest.mark.parametrize(
    ("on", "off", "wrong"),
    [
        ("2 s", "2 s", {"occulting"}),
        ("3 s", "1 s", {"isophase"}),
        ("1 s", "3 s", {"isophase", "occulting"}),
    ],
)
def test_character_of_a_light(on: str, off: str, wrong: set[str]) -> None:
    found = rhythm(SEAMARK, {"on": on, "off": off})
    (stretch,) = lit(found, "light")
    assert Fraction(stretch[1] - stretch[0], loop(found)[1]) == Fraction(
        int(on[0]), int(on[0]) + int(off[0])
    )
    assert broken(SEAMARK, {"on": on, "off": off}) == wrong


# A round of 4 s; strokes come from a flasher that a pulse lets run, a counter ends each group.
ALARM = """
design alarm(lets: time = 2900 ms) {
  tick 100 ms
  mains  : supply(6)
  feed   : divider(ways: 3)
  mains -> feed
  round  : flasher(lit: lets, dark: 4 s - lets)
  strokes: flasher(lit: 500 ms, dark: 500 ms)
  feed.way[1] -> round
  feed.way[2] -> strokes
  round -> strokes.told
  let sounds = strokes.on
  claim pulse: sounds lasts 500 ms
  claim quiet: sounds returns within 1500 ms
  claim three: sounds at most 3 times in any 4 s
  claim gap: after sounds: not sounds lasts 500 ms .. 1500 ms
}
"""


def test_the_evacuation_signal() -> None:
    found = rhythm(ALARM)
    assert loop(found)[1] == 40
    starts = [start for start, _ in lit(found, "strokes")]
    assert [end - start for start, end in lit(found, "strokes")] == [5, 5, 5]
    onward = [*starts[1:], starts[0] + 40]
    gaps = [after - start - 5 for start, after in zip(starts, onward, strict=True)]
    assert sorted(gaps) == [5, 5, 15]
    assert broken(ALARM) == set()


def test_a_fourth_stroke_and_a_longer_silence_are_found() -> None:
    assert broken(ALARM, {"lets": "3500 ms"}) == {"three"}
    assert broken(ALARM, {"lets": "1900 ms"}) == {"quiet", "gap"}
