"""What a cut model keeps next."""

from dataclasses import replace

from tests.engines.zones.workshop import Bench
from verifier.engines.zones_frame import Kept
from verifier.engines.zones_keep import Order
from verifier.system.cone import cone
from verifier.system.expr import Op
from verifier.system.model import Bits, System


def chain() -> tuple[System, Order]:
    """Return a system where a latch (0) reads a timer, that reads a register (1), that a choice.

    Registers 2 and 3 are two bits of one value; the latch reads the first of them.
    """
    bench = Bench()
    pool = bench.pool
    lamp = bench.register("lamp")
    asked = bench.register("asked")
    bench.draft.becomes(asked, bench.choice("ask"))
    low, high = bench.register("low"), bench.register("high")
    bench.draft.becomes(low, high)
    bench.draft.becomes(high, low)
    on = bench.timer(lambda on: pool.and_(asked, pool.not_(on)), 5)
    bench.draft.becomes(lamp, pool.or_(lamp, pool.and_(on, low)))
    system = replace(bench.system(), shown={"value": Bits((low, high))})
    return system, Order.of(cone(system, [lamp]), lamp)


def test_what_the_target_reads_soonest_comes_first() -> None:
    _, order = chain()
    assert order.near[Op.REGISTER, 0] == 0
    assert order.near[Op.ABOVE, 0] == 1
    assert order.near[Op.REGISTER, 1] == 2
    first = order.first({(Op.REGISTER, 0), (Op.ABOVE, 0)})
    assert first == Kept(frozenset({0}), frozenset())


def test_what_a_choice_sets_comes_last() -> None:
    _, order = chain()
    assert order.driven == {(Op.REGISTER, 1)}
    assert order.first({(Op.REGISTER, 1), (Op.ABOVE, 0)}) == Kept(frozenset(), frozenset({0}))
    assert order.first({(Op.REGISTER, 1)}) == Kept(frozenset({1}), frozenset())


def test_all_bits_of_a_value_come_together() -> None:
    _, order = chain()
    assert order.first({(Op.REGISTER, 2)}) == Kept(frozenset({2, 3}), frozenset())


def test_nothing_is_kept_of_nothing() -> None:
    _, order = chain()
    assert not order.first(set())
