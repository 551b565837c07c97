"""What is printed, word for word: it has to be plain enough to be read beside the design."""

import pytest

from tests.system.make import Bench, load
from verifier.design.model import Above, And, Case, Flag, Not, Or, Picked, ReadPick
from verifier.system.cone import cone
from verifier.system.expr import Node, Pool
from verifier.system.lower import lower
from verifier.system.model import System
from verifier.system.printed import DEEPEST, Printer
from verifier.system.program import program

ENTRY = """\
    r1 = registers[1]  # held
    c1 = clocks[1]  # glass
    c2 = clocks[2]  # wait
    d2 = draws[2]  # what wait is drawn to show
    p0 = choices[0]  # go: dead, live
    p2 = choices[2]  # dial: off, slow, fast
    n2 = p0 == 1
    n5 = p2 == 1
    n6 = p2 == 2
    n14 = n5 or n6
    n15 = n2 and n14
"""
TICK = f"""\
def tick(registers, clocks, choices, draws):
{ENTRY}\
    n10 = n2 or (c1 > 1)
    n16 = c2 > 0
    values = (n16, r1,)
    next_r1 = ((c2 > 1) if n10 else r1)
    next_c1 = max(7 - c1, 0) if n15 else (c1 - 1 if c1 else c1)
    next_c2 = drawn(2, d2, 2, 5) if (n2 and (not n16)) else (c2 - 1 if c2 and n10 else c2)
    r1 = next_r1
    c1 = next_c1
    c2 = next_c2
    return (False, r1,), (0, c1, c2,), values
"""
UNTIL = f"""\
def until(registers, clocks, choices, draws, limit):
{ENTRY}\
    ticks, met = 0, None
    while ticks < limit:
        n9 = c1 > 1
        n10 = n2 or n9
        if (n9 and (not r1)):
            met = 0
            break
        if r1:
            met = 1
            break
        next_r1 = ((c2 > 1) if n10 else r1)
        next_c1 = max(7 - c1, 0) if n15 else (c1 - 1 if c1 else c1)
        next_c2 = drawn(2, d2, 2, 5) if (n2 and (not (c2 > 0))) else (c2 - 1 if c2 and n10 else c2)
        r1 = next_r1
        c1 = next_c1
        c2 = next_c2
        ticks += 1
    return (False, r1,), (0, c1, c2,), ticks, met
"""
NOTHING = """\
def tick(registers, clocks, choices, draws):
    values = (True,)
    return (False, False,), (0, 0, 0,), values


def until(registers, clocks, choices, draws, limit):
    ticks, met = 0, None
    while ticks < limit:
        ticks += 1
    return (False, False,), (0, 0, 0,), ticks, met
"""


def glasses() -> System:
    """A glass that is turned, a wait that is drawn, a flag; and three things that stand aside."""
    bench = Bench()
    go, other = bench.button("go"), bench.button("other")
    dial = ReadPick(bench.free_choice("dial", ("off", "slow", "fast")))
    bench.keep("aside", Flag(), 0, [Case(other, other)])
    bench.timer("far").loads = (load(other, 9),)
    held = bench.keep("held", Flag(), 1)
    glass, wait = bench.timer("glass", 3), bench.timer("wait")
    glass.loads = (load(And((go, Or((Picked(dial, 1), Picked(dial, 2))))), 7, turned=True),)
    wait.loads = (load(And((go, Not(Above(wait, 0)))), 2, 5),)
    wait.runs = Or((go, Above(glass, 1)))
    bench.change(held, Case(Above(wait, 1), Or((go, Above(glass, 1)))))
    return lower(bench.design())


def test_a_cone_is_printed_so() -> None:
    system = glasses()
    pool = system.pool
    held = pool.register(1)
    part = cone(system, [pool.above(2, 0), held])
    stops = [pool.and_(pool.above(1, 1), pool.not_(held)), held]
    assert program(part, stops).source == f"{TICK}\n\n{UNTIL}"


def test_a_cone_of_nothing_is_printed_so() -> None:
    system = glasses()
    assert program(cone(system, [system.pool.yes])).source == NOTHING


def test_a_gap_of_two_clocks_is_printed_as_a_difference() -> None:
    pool = Pool()
    gap = pool.gap(0, 1, -2)
    assert Printer([gap]).text(gap) == "(c0 - c1 <= -2)"
    assert Printer([pool.no, pool.yes]).text(pool.no) == "False"


def chain(pool: Pool, joins: int) -> Node:
    node = pool.register(0)
    for number in range(1, joins + 1):
        join = pool.and_ if number % 2 else pool.or_
        node = join(pool.register(number), node)
    return node


@pytest.mark.parametrize(("joins", "lines"), [(DEEPEST - 1, 0), (DEEPEST, 1), (5 * DEEPEST, 5)])
def test_what_is_too_deep_for_one_line_is_a_line_of_its_own(joins: int, lines: int) -> None:
    printer = Printer([chain(Pool(), joins)])
    assert (len(printer.before), len(printer.lines)) == (0, lines)
    assert all(line.count("(") < DEEPEST for line in printer.lines)
