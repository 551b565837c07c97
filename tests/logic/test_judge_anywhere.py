"""Evidence about runs that begin with whatever can be kept, and what becomes of it with a slip."""

from dataclasses import replace

from tests.logic.hut import HUT, POOL, REST, SYSTEM, WORN, ruled_out, sound
from verifier.system.state import State
from verifier.verdict.evidence import Certain, Explored, Invariant, Trapped
from verifier.verdict.explored import Shows
from verifier.verdict.trace import Trace


def test_a_list_from_anywhere_has_every_start() -> None:
    """What is worn stays so: of both starts nothing is owed to wear but to the one that is not."""
    fresh, worn = State((False, False), (0,)), State((False, True), (0,))
    both = Explored({fresh: 1, worn: 0}, {})
    assert sound(both, HUT.worn, anywhere=True, shows=Shows.CAN_COME)
    for lacks in (fresh, worn):
        fewer = Explored({one: rank for one, rank in both.states.items() if one != lacks}, {})
        assert not sound(fewer, HUT.worn, anywhere=True, shows=Shows.CAN_COME)
    rests = ruled_out("go", "spoil")
    assert sound(Explored({fresh: 0}, {}), HUT.worn, system=rests)
    assert not sound(Explored({fresh: 0}, {}), HUT.worn, system=rests, anywhere=True)
    assert not sound(Explored({fresh: 0, worn: 0}, {}), HUT.worn, system=rests, anywhere=True)
    whole = replace(rests, domain=POOL.not_(HUT.worn))
    assert sound(Explored({fresh: 0}, {}), HUT.worn, system=whole, anywhere=True)
    # No run goes on from wear, where wear is ruled out: it is dead, and none begins in it.
    spared = ruled_out("worn")
    assert sound(Explored({fresh: 0}, {worn: 0}), HUT.worn, system=spared, anywhere=True)
    assert not sound(Explored({fresh: 0}, {}), HUT.worn, system=spared, anywhere=True)


def test_a_trap_from_anywhere_may_begin_where_it_ends() -> None:
    worn = Trace((), State((False, True), (2,)))
    assert sound(Trapped(worn, Invariant(WORN)), anywhere=True)
    assert not sound(Trapped(worn, Invariant(WORN)))
    assert not sound(
        Trapped(Trace((), State((False, False), (2,))), Invariant(WORN)), anywhere=True
    )
    outside = replace(SYSTEM, domain=POOL.not_(HUT.worn))
    assert not sound(Trapped(worn, Invariant(WORN)), system=outside, anywhere=True)
    rows = {State((False, True), (shows,)): 0 for shows in range(4)}
    assert sound(Trapped(worn, Explored(rows, {})), anywhere=True)
    del rows[State((False, True), (1,))]
    assert not sound(Trapped(worn, Explored(rows, {})), anywhere=True)


def test_a_certain_way_from_anywhere_serves_from_where_it_begins() -> None:
    """The glass shows 2 or more a tick later only if it was left so."""
    done, left = POOL.register(2), 1
    high = POOL.above(0, 1)
    node = POOL.or_(
        done, POOL.and_(POOL.above(left, 1), POOL.above(0, 2)), POOL.and_(high, POOL.above(left, 0))
    )
    way = Trace((REST,), State((False, False), (3,)))
    assert sound(Certain(way, 1, node), high, anywhere=True)
    assert not sound(Certain(way, 1, node), high)
    assert not sound(Certain(replace(way, start=None), 1, node), high, anywhere=True)
    assert not sound(
        Certain(replace(way, start=State((False, False), (1,))), 1, node), high, anywhere=True
    )
    assert not sound(
        Certain(replace(way, start=State((False, False), (4,))), 1, node), high, anywhere=True
    )
