"""A ring of an odd number n of inverters, each with delay d, swings with period 2 n d.

Common practice, no source. The ring starts with the levels alternating, so that a single edge
runs round it; started all alike, all edges run at once and the period is 2 d.
"""

import pytest

from tests.outside.desk import verdicts

# An inverter that takes `lag` from its input to its output; a shorter change of its input is lost.
DESIGN = """
kind inverter(lag: time, starts: flag) {
  in  input: signal
  keep level: flag = starts
  keep left: timer
  let differs = level = input
  let turns = differs and (left ends or lag = 1 tick)
  level becomes not level when turns
  left loads 0 s when not differs, lag - 1 tick when left = 0 s
  out out: signal = level
}

design ring {
  tick 10 ms
  link[1..STAGES] : inverter(LAG ticks, starts: FIRST)
STARTS
  link[STAGES].out -> link[1].input
  for i in 2..STAGES { link[i - 1].out -> link[i].input }
  let high = link[1].out
  claim half: high lasts HALF ticks
  claim other_half: after high ends: high returns within HALF ticks
  claim shorter: high lasts at most LESS ticks
}
"""


def ring(stages: int, lag: int, half: int, *, alike: bool) -> str:
    levels = ["no" if alike or stage % 2 == 0 else "yes" for stage in range(stages)]
    parts = "\n".join(
        f"  link[{stage + 1}] : inverter({lag} ticks, starts: {level})"
        for stage, level in enumerate(levels)
    )
    text = DESIGN.replace("  link[1..STAGES] : inverter(LAG ticks, starts: FIRST)\nSTARTS", parts)
    names = {"STAGES": stages, "HALF": half, "LESS": half - 1}
    for name, value in names.items():
        text = text.replace(name, str(value))
    return text


@pytest.mark.parametrize(("stages", "lag"), [(3, 1), (3, 4), (5, 2), (7, 3)])
@pytest.mark.parametrize("alike", [False, True])
def test_half_a_period_is_a_run_round_the_ring(stages: int, lag: int, *, alike: bool) -> None:
    half = lag if alike else stages * lag
    found = verdicts(ring(stages, lag, half, alike=alike))
    assert found["half"].holds
    assert found["other_half"].holds
    assert found["shorter"].fails or half == 1
