"""The least and most of stretches where spans vary, against closed forms."""

import random

import pytest

from tests.tuning.ready import made
from verifier.design.bounds import Measure
from verifier.engines.decide import Effort
from verifier.pipeline import CheckSettings, answers
from verifier.system.lower import lower
from verifier.tuning.rhythm import rhythm_of
from verifier.tuning.rhythm_bounds import Bounds, End, Extent, asked, told, varying
from verifier.verdict.answer import Answer, Emptiness, Margin, Outcome, Reach, Verdict
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


# --- what answers are taken to say ----------------------------------------------------------------

SUN = made("design sky {\n  sun : daylight(day: 3 s .. 4 s, night: 2 s)\n}\n")
FOREVER, UP_TO = Reach.FOREVER, Reach.UP_TO
FAILS = Outcome(Verdict.FAILS)


def margin(value: int, *, exact: bool = True) -> Outcome:
    near = Margin(Measure.LONGEST, value, None, exact=exact)
    return Outcome(Verdict.HOLDS, FOREVER, margins=(near,))


def read(*outcomes: Outcome) -> Bounds:
    """Return what eight answers about the sun say: never on, never off, then three pairs."""
    found = rhythm_of(SUN, lower(SUN), Trace(()))
    items = [one for one in varying(found) if one.name == "sun"]
    system = lower(asked(found, items))
    asked_ = [one for one in system.questions if one.name.startswith("sun ")]
    rows = [Answer(one, outcome) for one, outcome in zip(asked_, outcomes, strict=True)]
    (known,) = told(items, rows)
    return known


def test_bounds_are_read_off_margins_and_a_round_has_the_tick_of_its_start() -> None:
    pairs = [margin(30), margin(40), margin(20, exact=False), margin(20), margin(49), margin(59)]
    known = read(FAILS, FAILS, *pairs)
    assert known.on == exactly(30, 40)
    assert known.off == Extent(End(20), End(20, exact=True))
    assert known.round == exactly(50, 60)


def test_what_is_proved_up_to_a_time_only_is_no_bound() -> None:
    """Nor is what was never put to the test, or failed; the least is a tick without any proof."""
    until = Outcome(Verdict.HOLDS, UP_TO, until=600)
    never = Outcome(Verdict.HOLDS, FOREVER, empty=Emptiness.NEVER)
    plain = Outcome(Verdict.HOLDS, FOREVER)
    known = read(FAILS, until, until, margin(40), never, FAILS, plain, plain)
    assert known.steady is None
    assert known.on == Extent(End(None), End(40, exact=True))
    assert known.off == Extent(End(None), End(None))
    assert known.round == Extent(End(2), End(None))


@pytest.mark.parametrize(("first", "second", "steady"), [(True, False, True), (False, True, False)])
def test_what_never_changes_is_told_as_such(*, first: bool, second: bool, steady: bool) -> None:
    proved = Outcome(Verdict.HOLDS, FOREVER)
    heads = [proved if one else FAILS for one in (first, second)]
    assert read(*heads, *([FAILS] * 6)).steady is steady
