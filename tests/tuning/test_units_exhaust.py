"""Units of small random designs with relays, taps and presses, against a search of every state."""

import random
from itertools import product

import pytest

from tests.system.stepper import following, values
from tests.tuning.ready import made
from verifier.engines.decide import Effort
from verifier.system.lower import lower
from verifier.system.model import System
from verifier.system.state import State, start_of
from verifier.tuning.units import feed_of, needs_of, users

SEEDS = range(6)


def random_text(seed: int) -> str:
    """Return a design in which relays, worked by buttons and timers, lead power around."""
    dice = random.Random(seed)
    first = dice.choice(("ask", "call", "glow.on", "not ask"))
    second = dice.choice(("ask and call", "call", "not glow.on"))
    return f"""
    design led {{
      tick 1 s
      ask : button
      call : button
      mains : supply({dice.randint(3, 9)})
      for_glow : tap({dice.randint(1, 3)})
      glow : pulse({dice.randint(1, 2)} s)
      one : relay
      two : relay
      aside : tap({dice.randint(1, 3)})
      joined : busbar(ways: 2)
      lamp : load(needs: {dice.randint(1, 3)})
      bell : load(needs: {dice.randint(1, 3)})
      door : load(needs: {dice.randint(1, 3)})
      mains -> for_glow
      for_glow.side -> glow -> lamp
      for_glow.rest -> one.feed
      one.make -> aside
      one.break -> two.feed
      aside.side -> bell
      aside.rest -> joined.feed[1]
      two.make -> joined.feed[2]
      joined -> door
      one.coil when {first}
      two.coil when {second}
      glow.start when {dice.choice(("ask", "call", "ask or two.pulled"))}
    }}"""


def amount(system: System, path: str, at: State, choices: tuple[int, ...]) -> int:
    bits = system.shown[path]
    return bits.low + sum(values(at, choices, bits.nodes))


def everything(system: System) -> list[tuple[State, tuple[int, ...]]]:
    """Return all states that can be reached, each with all choices."""
    options = [range(len(one.options)) for one in system.choices]
    none = (0,) * len(system.clocks)
    seen, todo = {start_of(system)}, [start_of(system)]
    found = []
    while todo:
        at = todo.pop()
        for choices in product(*options):
            found.append((at, choices))
            after = following(system, at, choices, none)
            if after not in seen:
                seen.add(after)
                todo.append(after)
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_least_most_and_drawn_are_those_of_every_state(seed: int) -> None:
    design = made(random_text(seed))
    system = lower(design)
    moments = everything(system)
    found = needs_of(design, Effort(4.0))
    drawn = [0] * len(moments)
    for part, told in zip(users(design), found.parts, strict=True):
        got = [amount(system, feed_of(part).path, *moment) for moment in moments]
        drawn = [
            sum_ + part.draw * (one >= part.draw) for sum_, one in zip(drawn, got, strict=True)
        ]
        some = [one for one in got if one]
        assert told.dry == (not some)
        assert (told.idle is not None) == (0 in got)
        if some:
            assert told.least is not None
            assert told.most is not None
            assert (told.least.met, told.least.proved) == (min(some), min(some))
            assert (told.most.met, told.most.proved) == (max(some), max(some))
            assert told.enough == (min(some) >= part.draw)
    assert found.drawn is not None
    assert (found.drawn.met, found.drawn.proved) == (max(drawn), max(drawn))
