"""The runs that are shown of false claims against the best there are, found by exhaustive search.

All designs of the bank that fail within 12 ticks, at their longest tick; without
`LATCHWORK_LEAST=all` only those that are not made large.
"""

import os
from collections.abc import Callable, Iterator
from itertools import product

from tests.bank.families import gardens
from verifier.engines.decide import Decider, Effort
from verifier.simulate.machine import Machine, Position, machine
from verifier.simulate.variations import Variations, shortened
from verifier.system.cone import cone
from verifier.system.model import Form, Question, System
from verifier.verdict.answer import Verdict

LONGEST = 12
ALL = os.environ.get("LATCHWORK_LEAST") == "all"
LARGE = 40  # registers and clocks
MOST_WAYS = 256  # choices at a tick that exhaustive search can go through

Key = tuple[Position, tuple[int, ...]]


def test_time_and_presses_are_the_least_there_are(
    record_property: Callable[[str, object], None],
) -> None:
    compared = 0
    for garden in gardens():
        where = garden.system(garden.coarse)
        if not ALL and len(where.registers) + len(where.clocks) > LARGE:
            continue
        decider = Decider(where, Effort(seconds=1.0))
        for asked in where.questions:
            if asked.form is not Form.AVOID or not _searchable(where, asked):
                continue
            if garden.verdicts[asked.name] is not Verdict.FAILS:
                continue
            outcome = shortened(where, asked, decider.decide(asked))
            run = outcome.trace
            assert run is not None, (garden.name, asked.name)
            if run.length > LONGEST:
                continue
            near = Variations.of(where, asked.bad, run, anywhere=asked.anywhere)
            told = near.plan.length, len(near.plan.presses)
            assert told == least(where, asked), (garden.name, asked.name)
            compared += 1
    assert compared > 1
    record_property("false claims of the bank, none failing sooner or with fewer presses", compared)


def _searchable(where: System, asked: Question) -> bool:
    part = cone(where, [asked.bad])
    ways = 1
    for index in part.choices:
        ways *= len(where.choices[index].options)
    ranged = any(where.clocks[index].ranged for index in part.clocks)
    return ways <= MOST_WAYS and not ranged and not asked.anywhere


def least(where: System, asked: Question) -> tuple[int, int] | None:
    """Return the fewest ticks of a failing run, and the fewest presses of one so short."""
    part = cone(where, [asked.bad])
    follower = machine(part, (asked.bad, where.allowed))
    at: dict[Key, int] = {(follower.start(), follower.rest()): 0}
    for tick in range(LONGEST):
        after: dict[Key, int] = {}
        met: list[int] = []
        for (position, before), pressed in at.items():
            for choices, cost in _ways(follower, before, pressed):
                look = follower.look(*position, choices)
                if not look.seen[1]:
                    continue
                if look.seen[0]:
                    met.append(cost)
                    continue
                key = follower.after(position, look, (0,) * len(follower.clocks), 1), choices
                after[key] = min(cost, after.get(key, cost))
        if met:
            return tick + 1, min(met)
        at = after
    return None


def _ways(
    follower: Machine, before: tuple[int, ...], pressed: int
) -> Iterator[tuple[tuple[int, ...], int]]:
    for choices in product(*(range(count) for count in follower.options)):
        new = sum(now not in (was, 0) for now, was in zip(choices, before, strict=True))
        yield choices, pressed + new
