"""From the keys and matrices of a finished search to an invariant.

The invariant is a disjunction over keys: the registers, the region of each kept clock, and the
bounds of the matrix that the key does not say already. Bounds that follow from others are left out,
and keys that differ in one register only and have the same matrix become one.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from verifier.engines.matrix import Matrix, essential
from verifier.engines.zones_frame import Dial, Frame
from verifier.engines.zones_post import Layout
from verifier.system.expr import Node, Pool


def invariant(frame: Frame, keys: Mapping[int, Sequence[Matrix]]) -> Node:
    """Return the disjunction of all keys."""
    pool = frame.system.pool
    registers = sum(bit.both for bit in frame.bits)
    groups: dict[tuple[int, tuple[int, ...]], list[int]] = defaultdict(list)
    for key, zones in keys.items():
        for zone in zones:
            groups[key & ~registers, tuple(zone)].append(key & registers)
    parts: list[Node] = []
    for (regions, bounds), codes in groups.items():
        clocks = pool.and_(*_clocks(frame, regions, bounds))
        parts += [pool.and_(*_registers(frame, code), clocks) for code in merged(frame, codes)]
    return pool.or_(*parts)


def merged(frame: Frame, codes: Sequence[int]) -> list[int]:
    """Return fewer sets of register values that cover the same, by joining neighbours."""
    todo = list(dict.fromkeys(codes))
    for bit in frame.bits:
        by_rest: dict[int, int] = {}
        for code in todo:
            rest = code & ~bit.both
            by_rest[rest] = by_rest.get(rest, 0) | code
        todo = list(by_rest.values())
    return todo


def _registers(frame: Frame, code: int) -> Iterator[Node]:
    pool = frame.system.pool
    for bit in frame.bits:
        value = (code & bit.both) >> bit.place
        if value != 3:  # noqa: PLR2004 - both values
            register = pool.register(bit.index)
            yield register if value & 2 else pool.not_(register)


def _clocks(frame: Frame, regions: int, zone: Sequence[int]) -> Iterator[Node]:
    pool = frame.system.pool
    layout = Layout.of(frame, regions)
    for dial in frame.dials:
        yield from _region(pool, dial, dial.region(regions))
    clocks = [-1, *(frame.dials[n].index for n in layout.rows)]
    for i, j, bound in essential(list(zone), layout.size):
        if i == 0:
            yield pool.above(clocks[j], -bound - 1)
        elif j == 0 and bound < frame.system.clocks[clocks[i]].longest:
            yield pool.not_(pool.above(clocks[i], bound))
        elif j and bound < layout.ceilings[i] - layout.floors[j]:
            yield pool.gap(clocks[i], clocks[j], bound)


def _region(pool: Pool, dial: Dial, region: int) -> Iterator[Node]:
    """Yield the bounds of a region; that no clock passes its longest span goes without saying."""
    if region < len(dial.edges) - 1:
        yield pool.not_(pool.above(dial.index, dial.edges[region]))
    if region:
        yield pool.above(dial.index, dial.edges[region - 1])
