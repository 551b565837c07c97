"""Timing diagrams of IEC 61131-3 at their edges: TON, TOF, TP and CTUD (from memory).

PT is 3 ticks. A drawing has a place for each tick: # live, . dead. A part plays the drawing of IN
and is to show that of Q at every tick. TP answers a tick after IN, where the standard's does in the
same scan (docs/adr/0004). What is exact is the point: IN for PT and a tick less or more, a restart
in the last moment of a delay, a start in the last of a pulse.
"""

import pytest

from tests.outside.desk import broken, verdicts

DESIGN = """
design diagram {
  keep at: count 0 .. LAST
  at becomes at + 1 when at < LAST
  let asked = ASKED
  let expected = EXPECTED
  mains : supply(2)
  part  : PART
  mains -> part
  part.start when asked
  claim as_drawn: always part.on = expected
}
"""

TON, TOF, TP = "on_delay(3 ticks)", "off_delay(3 ticks)", "pulse(3 ticks)"

DIAGRAMS = [
    # TON: Q rises PT after IN and falls with it.
    (TON, ".##.......", ".........."),  # a tick less than PT
    (TON, ".###......", ".........."),  # exactly PT: over in the moment in which Q is due
    (TON, ".####.....", "....#....."),
    (TON, ".##.#####.", ".......##."),  # counts anew
    # TOF: Q rises with IN and falls PT after it.
    (TOF, ".#........", ".####....."),
    (TOF, ".###......", ".######..."),
    (TOF, ".#.#......", ".######..."),  # restarted meanwhile
    (TOF, ".#..#.....", ".#######.."),  # in the last tick: the whole of PT again
    (TOF, ".#...#....", ".########."),  # in the very moment in which Q would fall
    (TOF, ".#....#...", ".####.####"),
    # TP: Q for PT, whatever IN does meanwhile.
    (TP, ".#........", "..###....."),
    (TP, ".######...", "..###....."),  # longer than PT
    (TP, ".#.#......", "..###....."),
    (TP, ".#..#.....", "..###....."),  # in its last tick
    (TP, ".#...#....", "..###.###."),  # in the first after it
    (TP, ".#..###...", "..###....."),  # no edge after it
]


def drawn(part: str, asked: str, expected: str) -> str:
    """Return a design in which a part plays one drawing and is to show another one."""

    def told(row: str) -> str:
        return " or ".join(f"at = {at}" for at, mark in enumerate(row) if mark == "#") or "no"

    # The last place stays for good; nothing is asked there.
    text = DESIGN.replace("PART", part).replace("LAST", str(len(asked) - 1))
    return text.replace("ASKED", told(asked)).replace("EXPECTED", told(expected))


def tick_of_error(part: str, asked: str, expected: str) -> int | None:
    return verdicts(drawn(part, asked, expected))["as_drawn"].tick


@pytest.mark.parametrize(("part", "asked", "expected"), DIAGRAMS)
def test_output_is_as_drawn(part: str, asked: str, expected: str) -> None:
    # One dead tick more, for what holds the last place.
    assert broken(drawn(part, asked + "..", expected + "..")) == set()


@pytest.mark.parametrize(
    ("part", "asked", "expected", "wrong"),
    [
        ("pulse(3 ticks, again: yes)", ".#.#......", "..###.....", 5),
        ("off_delay(3 ticks, again: no)", ".#.#......", ".######...", 5),
        ("on_delay(2 ticks)", ".###......", "..........", 3),
        ("on_delay(4 ticks)", ".####.....", "....#.....", 4),
    ],
)
def test_another_part_is_told_from_the_drawing(
    part: str, asked: str, expected: str, wrong: int
) -> None:
    assert tick_of_error(part, asked, expected) == wrong


# CTUD: R wins over LD; counts unless both rise; QU := CV >= PV, QD := CV <= 0.
UP_AND_DOWN = """
design up_and_down {
  free cu: signal
  free cd: signal
  free r: signal
  free ld: signal
  part : counter(limit: 2, most: 4)
  cu -> part.up
  cd -> part.down
  r -> part.reset
  ld -> part.load
  keep cv: count 0 .. 4
  let up = cu starts
  let down = cd starts
  cv becomes
    CASES
    cv + 1 when not (up and down) and up and cv < 4,
    cv - 1 when not (up and down) and down and cv > 0
  claim value: always part.value = cv
  claim qu: never part.full != (cv >= 2)
  claim qd: never part.empty != (cv <= 0)
  claim gets_there: possible part.value = 4 within 1 s
}
"""


def test_up_and_down_counts_as_its_body_says() -> None:
    assert broken(UP_AND_DOWN.replace("CASES", "0 when r, 2 when ld,")) == set()


def test_load_does_not_win_over_reset() -> None:
    wrong = verdicts(UP_AND_DOWN.replace("CASES", "2 when ld, 0 when r,"))
    assert {name for name, one in wrong.items() if one.fails} == {"value", "qu", "qd"}
    assert wrong["value"].tick == 1
