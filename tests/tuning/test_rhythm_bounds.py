"""The least and most of stretches where spans vary, against closed forms."""

import random

from tests.tuning.ready import made
from verifier.engines.decide import Effort
from verifier.pipeline import CheckSettings, answers
from verifier.system.lower import lower
from verifier.tuning.rhythm import rhythm_of
from verifier.tuning.rhythm_bounds import Bounds, End, Extent, asked, told, varying
from verifier.verdict.trace import Trace


def bounds(text: str, *names: str) -> dict[str, Bounds]:
    design = made(text)
    found = rhythm_of(design, lower(design), Trace(()))
    assert found.varies
    items = [one for one in varying(found) if one.name in names]
    settings = CheckSettings(effort=Effort(2.0), jobs=1)
    known = told(items, list(answers(lower(asked(found, items)), settings)))
    return {one.item.name: one for one in known}


def exactly(least: int, most: int) -> Extent:
    return Extent(End(least, exact=True), End(most, exact=True))


PAIR = """
design pair {{
  mains : supply(3)
  feed : divider(ways: 2)
  mains -> feed
  glow : pulse({0} ticks .. {1} ticks)
  gloom : pulse({2} ticks .. {3} ticks)
  lamp : lamp
  feed.way[1] -> glow -> lamp
  feed.way[2] -> gloom
  glow.start when not gloom.on{4}
  gloom.start when glow.on ends
  {5}
}}
"""


def test_two_timers_that_restart_each_other_add_up() -> None:
    """A tick goes by between the two, as in the fixed form: lit, a tick, dark, a tick.

    A press could make the dark longer, but nobody presses.
    """
    dice = random.Random(3)
    low, off = dice.randint(2, 9), dice.randint(2, 30)
    high, longer = low + dice.randint(1, 5), off + dice.randint(1, 9)
    hush, both = " and not hush", "hush : button\n let both = glow.on and gloom.on"
    found = bounds(PAIR.format(low, high, off, longer, hush, both), "lamp", "both")
    assert found["lamp"].on == exactly(low, high)
    assert found["lamp"].off == exactly(off + 2, longer + 2)
    assert found["lamp"].round == exactly(low + off + 2, high + longer + 2)
    assert found["lamp"].steady is None
    assert found["both"].steady is False
