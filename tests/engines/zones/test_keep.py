"""What a cut model keeps next."""

from dataclasses import replace

from tests.engines.zones.workshop import Bench
from verifier.engines.zones_frame import Kept
from verifier.engines.zones_keep import Order
from verifier.system.cone import cone
from verifier.system.expr import Node, Op
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


def lamps(count: int) -> tuple[System, Order]:
    """Return a system where two lamps that hang together, and `count` that do not, light a target.

    Registers 0 and 1 read each other, the others only themselves.
    """
    bench = Bench()
    pool = bench.pool
    one, other = bench.register("one"), bench.register("other")
    bench.draft.becomes(one, pool.not_(other))
    bench.draft.becomes(other, pool.not_(one))
    alone = [bench.register(f"lamp{n}") for n in range(count)]
    for lamp in alone:
        bench.draft.becomes(lamp, pool.not_(lamp))
    target = pool.or_(one, other, *alone)
    system = bench.system()
    return system, Order.of(cone(system, [target]), target)


def test_what_hangs_together_comes_before_what_stands_alone() -> None:
    _, order = lamps(5)
    first = order.first({(Op.REGISTER, n) for n in range(7)})
    assert first == Kept(frozenset({0, 1}), frozenset())


def test_of_what_stands_alone_one_is_taken() -> None:
    _, order = lamps(5)
    assert len(order.first({(Op.REGISTER, n) for n in range(2, 7)})) == 1


def test_what_more_alarms_hung_on_comes_first() -> None:
    _, order = lamps(5)
    order.first({(Op.REGISTER, 4)})
    assert order.first({(Op.REGISTER, 0), (Op.REGISTER, 1), (Op.REGISTER, 4)}) == Kept(
        frozenset({4}), frozenset()
    )


def ring(count: int) -> tuple[System, Node]:
    """Return a ring of registers that each copy the one before, read by a lamp (the last)."""
    bench = Bench()
    places = [bench.register(f"place{n}") for n in range(count)]
    for before, place in zip(places, places[1:] + places[:1], strict=True):
        bench.draft.becomes(place, before)
    lamp = bench.register("lamp")
    bench.draft.becomes(lamp, places[0])
    return bench.system(), lamp


def test_a_loop_comes_whole_where_that_is_asked_for() -> None:
    system, lamp = ring(4)
    part = cone(system, [lamp])
    one = {(Op.REGISTER, 0)}
    assert Order.of(part, lamp).first(one) == Kept(frozenset({0}), frozenset())
    whole = Kept(frozenset(range(4)), frozenset())
    assert Order.of(part, lamp, loops=True).first(one) == whole


def test_loops_are_looked_for_only_where_there_are_some() -> None:
    system, lamp = ring(2)
    assert Order.of(cone(system, [lamp]), lamp).goes_round()
    _, alone = lamps(0)
    assert alone.goes_round()  # the two lamps that hang together
    system, order = chain()
    assert order.goes_round()  # the two bits of a value change places
    target = system.pool.register(1)
    assert not Order.of(cone(system, [target]), target).goes_round()


def test_what_only_reads_a_loop_does_not_bring_it_along() -> None:
    system, lamp = ring(4)
    order = Order.of(cone(system, [lamp]), lamp, loops=True)
    assert order.first({(Op.REGISTER, 4)}) == Kept(frozenset({4}), frozenset())
