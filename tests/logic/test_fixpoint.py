"""Rules for the solver's own search, and the way back from its formulas."""

from collections.abc import Callable
from itertools import product

import pytest

from tests.engines.zones.oracle import all_choices, holds
from tests.engines.zones.workshop import Bench, task
from tests.properties.plants import plant, reachable_states
from verifier.logic.fixpoint import Rules, rules
from verifier.logic.native import AT, WHOLE, Result, Term, array, call
from verifier.logic.spoken import Reader, UnspokenError
from verifier.logic.tick import Tick, any_tick
from verifier.system.expr import Node, Pool
from verifier.verdict.trace import State

LONGEST = 6


def bench() -> Bench:
    """Return a system of two registers and two clocks that reads all of them."""
    made = Bench()
    for name in "ab":
        made.register(name)
    for place, span in enumerate((LONGEST, LONGEST)):
        made.draft.open_clock()
        made.set_clock(place, [(made.choice(f"c{place}"), span, span)], made.pool.yes)
    for place in range(2):
        made.draft.becomes(made.pool.register(place), made.pool.above(1 - place, 2))
    return made


Made = Callable[[Rules, Tick], Term]
Known = Callable[[Pool], Node]

SPOKEN: dict[str, tuple[Made, Known]] = {
    "register": (lambda _room, at: at.registers[0], lambda pool: pool.register(0)),
    "above": (lambda room, at: room.above(at.clocks[1], 3), lambda pool: pool.above(1, 3)),
    "at most": (
        lambda room, at: room.at_most(at.clocks[0], room.number(2)),
        lambda pool: pool.not_(pool.above(0, 2)),
    ),
    "equal": (
        lambda room, at: room.equal(at.clocks[0], room.number(4)),
        lambda pool: pool.and_(pool.above(0, 3), pool.not_(pool.above(0, 4))),
    ),
    "gap": (
        lambda room, at: room.at_most(at.clocks[0], room.plus(at.clocks[1], room.number(-2))),
        lambda pool: pool.gap(0, 1, -2),
    ),
    "gap told as a difference": (
        lambda room, at: room.above(room.minus(at.clocks[1], at.clocks[0]), 1),
        lambda pool: pool.not_(pool.gap(1, 0, 1)),
    ),
    "differ": (
        lambda room, at: room.differ(at.registers[0], at.registers[1]),
        lambda pool: pool.if_(pool.register(0), pool.not_(pool.register(1)), pool.register(1)),
    ),
    "if": (
        lambda room, at: room.if_(at.registers[0], at.registers[1], room.above(at.clocks[0], 0)),
        lambda pool: pool.if_(pool.register(0), pool.register(1), pool.above(0, 0)),
    ),
}


def read_back(made: Bench, term: Made) -> Node:
    """Return a formula over the state as it is read out of a quantifier."""
    one = task(made.system(), made.pool.and_(*(made.pool.register(place) for place in range(2))))
    with Rules(one.cone) as room:
        at = any_tick(room, one.cone)
        unknowns = [*at.registers.values(), *at.clocks.values()]
        bind = call("Z3_mk_forall_const", AT, AT, WHOLE, WHOLE, AT, WHOLE, AT, AT)
        context = room._at  # noqa: SLF001 - a formula made by hand
        bound = array(len(unknowns))(*unknowns)
        closed = bind(context, 0, len(unknowns), bound, 0, None, term(room, at))
        body = call("Z3_get_quantifier_body", AT, AT, AT)(context, closed)
        return Reader(context, one.cone).node(body)


@pytest.mark.parametrize("name", SPOKEN)
def test_formulas_come_back_as_they_were(name: str) -> None:
    made = bench()
    term, known = SPOKEN[name]
    node, expected = read_back(made, term), known(made.pool)
    choices = next(iter(all_choices(made.system())))
    for bits, first, second in product(range(4), range(LONGEST + 1), range(LONGEST + 1)):
        state = State((bool(bits & 1), bool(bits & 2)), (first, second))
        assert holds(node, state, choices) == holds(expected, state, choices), state


def test_sums_of_clocks_are_refused() -> None:
    with pytest.raises(UnspokenError):
        read_back(
            bench(),
            lambda room, at: room.at_most(room.plus(at.clocks[0], at.clocks[1]), room.number(3)),
        )


def test_what_runs_come_to_is_within_the_invariant() -> None:
    found = 0
    for seed in range(0, 60, 2):
        system, target = plant(seed)
        one = task(system, target)
        if not (one.cone.registers or one.cone.clocks):
            continue
        with rules(one.cone, target, 1, anywhere=False) as room:
            if room.solve(5_000_000, 5.0) is not Result.UNSAT:
                continue
            try:
                node = room.invariant()
            except UnspokenError:
                continue
        found += 1
        states = reachable_states(
            system,
            [
                State(
                    tuple(register.start for register in system.registers),
                    tuple(clock.start for clock in system.clocks),
                )
            ],
        )
        every = list(all_choices(system))
        assert all(holds(node, state, every[0]) for state in states), seed
    assert found


def test_work_is_counted_and_bounded() -> None:
    made = bench()
    one = task(made.system(), made.pool.and_(*(made.pool.register(place) for place in range(2))))
    with rules(one.cone, one.target, 1, anywhere=False) as room:
        assert room.solve(10, 5.0) is Result.UNKNOWN
