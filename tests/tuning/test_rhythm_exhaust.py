"""The least and most of stretches in small designs with drawn spans, against every state.

LATCHWORK_RHYTHMS asks for more designs (2 unless given), LATCHWORK_FIRST_SEED for other ones.
"""

import os
import random
from collections.abc import Callable, Iterable
from itertools import product

import pytest

from tests.system.stepper import following, values
from tests.tuning.ready import made
from verifier.engines.decide import Effort
from verifier.pipeline import CheckSettings, answers
from verifier.system.lower import lower
from verifier.system.model import System
from verifier.system.state import State, start_of
from verifier.tuning.rhythm import rhythm_of
from verifier.tuning.rhythm_bounds import Extent, asked, told, varying
from verifier.verdict.trace import Trace

RHYTHMS = int(os.environ.get("LATCHWORK_RHYTHMS", "2"))
FIRST = int(os.environ.get("LATCHWORK_FIRST_SEED", "2"))

Moment = tuple[State, bool]  # a state, and whether the item was on a tick ago
Test = Callable[[Moment], bool]


def random_text(seed: int) -> str:
    """Return two timers that start each other, held up by a sun that is not exact either."""
    dice = random.Random(seed)

    def span() -> str:
        low = dice.randint(1, 3)
        return f"{low} ticks .. {low + dice.randint(0, 2)} ticks"

    held = dice.choice(("", " and sun.light", " and not sun.light"))
    return f"""
    design drawn {{
      mains : supply(3)
      feed : divider(ways: 2)
      mains -> feed
      sun : daylight(day: {span()}, night: {span()})
      glow : pulse({span()})
      gloom : pulse({span()})
      lamp : lamp
      feed.way[1] -> glow -> lamp
      feed.way[2] -> gloom
      glow.start when not gloom.on{held}
      gloom.start when {dice.choice(("glow.on ends", "sun.light ends", "glow.on"))}
    }}"""


def draws(system: System, at: State) -> Iterable[tuple[int, ...]]:
    """Return all spans that can be drawn in a tick."""
    spans: list[Iterable[int]] = []
    for clock in system.clocks:
        taken = next((one for one in clock.loads if values(at, (), [one.when])[0]), None)
        ranged = taken is not None and taken.low != taken.high
        spans.append(range(taken.low, taken.high + 1) if ranged and taken else (0,))
    return product(*spans)


def graph(system: System, path: str) -> dict[Moment, set[Moment]]:
    """Return all moments that can be reached, each with those that may follow."""
    node = system.shown[path].nodes
    first = start_of(system), False
    found: dict[Moment, set[Moment]] = {}
    todo: list[Moment] = [first]
    while todo:
        at = todo.pop()
        if at in found:
            continue
        live = any(values(at[0], (), node))
        found[at] = {(following(system, at[0], (), one), live) for one in draws(system, at[0])}
        todo.extend(found[at])
    return found


def extent(
    moments: dict[Moment, set[Moment]], inside: Test
) -> tuple[int | None, int | None] | None:
    """Return the shortest and the longest stretch that begins after a moment outside of it.

    None for the whole where there is none, for the shortest where none ends, for the longest where
    one may go on for ever.
    """
    row = {
        after
        for at, follow in moments.items()
        if not inside(at)
        for after in follow
        if inside(after)
    }
    if not row:
        return None
    shortest, ticks = None, 0
    seen: set[frozenset[Moment]] = set()
    while row and frozenset(row) not in seen:
        seen.add(frozenset(row))
        ticks += 1
        after = {one for at in row for one in moments[at]}
        if shortest is None and not all(map(inside, after)):
            shortest = ticks
        row = {one for one in after if inside(one)}
    return shortest, None if row else ticks


def same(told_: Extent, known: tuple[int | None, int | None] | None, more: int = 0) -> bool:
    if known is None:
        return True
    least, most = known
    return (least is None or (told_.least.ticks, told_.least.exact) == (least + more, True)) and (
        (told_.most.ticks is None)
        if most is None
        else (told_.most.ticks, told_.most.exact) == (most + more, True)
    )


@pytest.mark.parametrize("seed", range(FIRST, FIRST + RHYTHMS))
def test_bounds_are_those_of_every_state(seed: int) -> None:
    design = made(random_text(seed))
    found = rhythm_of(design, lower(design), Trace(()))
    items = [one for one in varying(found) if one.name in {"glow", "lamp"}][:1]
    if not items:
        return  # nothing here hangs on a drawn span
    settings = CheckSettings(effort=Effort(4.0), jobs=1)
    (known,) = told(items, list(answers(lower(asked(found, items)), settings)))
    path, system = items[0].net.path, found.system
    moments = graph(system, path)
    lit = {at: any(values(at[0], (), system.shown[path].nodes)) for at in moments}
    if known.steady is not None:
        assert set(lit.values()) == {known.steady}
        return
    assert same(known.on, extent(moments, lambda at: lit[at]))
    assert same(known.off, extent(moments, lambda at: not lit[at]))
    assert same(known.round, extent(moments, lambda at: not lit[at] or at[1]), more=1)
