"""Standard parts against the function blocks of IEC 61131-3, written out in the design.

Each design holds the block of the standard as kept state beside the part and claims that the two
never differ. What keeps state answers a tick later than in the standard, so there the block's
memory after a scan is compared with the part in the next tick. Bodies of SR and RS and the timing
of TP, TON and TOF were read in copies of the standard; R_TRIG, F_TRIG, CTU and CTD are from
memory.
"""

import pytest

from tests.outside.desk import Answered, verdicts

# IEC 61131-3, bistable function blocks: Q1 := S1 OR (NOT R AND Q1); Q1 := NOT R1 AND (S OR Q1).
MEMORY = """
design bistable {
  free s: signal
  free r: signal
  part : latch(wins: WINS)
  s -> part.set
  r -> part.reset
  keep q1: flag
  q1 becomes EQUATION
  claim same: never part.out != q1
  claim inverse: never part.inverse = q1
  claim put_to_use: possible part
}
"""

# IEC 61131-3, edge detection (from memory): Q := CLK AND NOT M, M := CLK; and with NOT CLK in its
# place.
EDGE = """
design edges {
  free clk: signal
  up   : edge
  down : edge(way: falling)
  both : edge(way: both)
  clk -> up
  clk -> down
  clk -> both
  keep m: flag
  keep n: flag
  m becomes clk
  n becomes not clk
  claim rising: never up != (clk and not m)
  claim falling: never down != (not clk and not n)
  claim either: never both != (clk != m or (not clk and not n))
  claim one_scan: up lasts 1 tick
}
"""

# IEC 61131-3, counters (from memory). CTU: R wins, counts rising CU up to a most, Q := CV >= PV.
# CTD: LD wins, counts rising CD down to 0, Q := CV <= 0.
COUNTERS = """
design counters {
  free cu: signal
  free cd: signal
  free r: signal
  free ld: signal

  ctu : counter(limit: 3, most: 5)
  cu -> ctu.up
  r -> ctu.reset
  keep up: count 0 .. 5
  up becomes 0 when r, up + 1 when cu starts and up < 5

  ctd : counter(limit: 3)
  cd -> ctd.down
  ld -> ctd.load
  keep down: count 0 .. 3
  down becomes 3 when ld, down - 1 when cd starts and down > 0

  claim ctu_value: always ctu.value = up
  claim ctu_q: never ctu.full != (up >= 3)
  claim ctd_value: always ctd.value = down
  claim ctd_q: never ctd.empty != (down <= 0)
  claim counts_on: possible ctu.value = 5 within 1 s
}
"""

# IEC 61131-3, timers. TON: ET counts scans since IN rose, up to PT; Q := IN and ET = PT. TOF: ET
# counts since IN fell; Q falls at ET = PT. TP: Q for PT after a rising IN, starts meanwhile do
# nothing.
TIMERS = """
design timers {
  free asked: signal
  mains : supply(6)
  feed  : divider(ways: 3)
  mains -> feed

  ton : on_delay(SPAN ticks)
  feed.way[1] -> ton
  asked -> ton.start
  keep ton_et: count 0 .. SPAN
  ton_et becomes 0 when not asked, ton_et + 1 when ton_et < SPAN

  tof : off_delay(SPAN ticks)
  feed.way[2] -> tof
  asked -> tof.start
  keep tof_et: count 0 .. SPAN = SPAN
  tof_et becomes 0 when asked, tof_et + 1 when tof_et < SPAN

  tp : pulse(SPAN ticks)
  feed.way[3] -> tp
  asked -> tp.start
  keep was: flag
  was becomes asked
  keep tp_left: count 0 .. SPAN
  tp_left becomes SPAN when asked and not was and tp_left = 0, tp_left - 1 when tp_left > 0

  claim ton_q: never ton.on != (asked and ton_et = SPAN)
  claim tp_q: never tp.on != (tp_left > 0)
  claim tp_lasts: tp.on lasts SPAN ticks
  claim tof_q: never tof.on != (asked or tof_et < SPAN)
  claim tof_lasts: tof.on lasts at least SPAN ticks + 1 tick
}
"""


def holds_all(found: dict[str, Answered]) -> bool:
    return all(one.holds for one in found.values())


@pytest.mark.parametrize(
    ("wins", "equation"),
    [("set", "s or (not r and q1)"), ("reset", "not r and (s or q1)")],
)
def test_latches_keep_the_equations_of_the_standard(wins: str, equation: str) -> None:
    found = verdicts(MEMORY.replace("WINS", wins).replace("EQUATION", equation))
    assert holds_all(found), found


def test_the_wrong_latch_is_told_apart() -> None:
    found = verdicts(MEMORY.replace("WINS", "set").replace("EQUATION", "not r and (s or q1)"))
    assert found["same"].fails
    assert found["same"].tick == 1  # both pressed at tick 0


def test_edges_keep_the_equations_of_the_standard() -> None:
    found = verdicts(EDGE)
    assert holds_all(found), found


def test_counters_keep_the_bodies_of_the_standard() -> None:
    found = verdicts(COUNTERS)
    assert holds_all(found), found


@pytest.mark.parametrize("span", [1, 2, 5])
def test_timers_keep_the_diagrams_of_the_standard(span: int) -> None:
    found = verdicts(TIMERS.replace("SPAN", str(span)))
    assert holds_all(found), found
