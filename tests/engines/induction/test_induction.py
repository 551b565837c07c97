"""Induction with guessed lemmas: designs of many like parts, and small systems known in full."""

import os
from collections import Counter
from collections.abc import Sequence
from itertools import product

import pytest

from tests.bank.garden import tasks
from tests.bank.plants import MAKERS, Plant
from tests.engines.induction.crowds import CROWDS
from tests.engines.zones.oracle import all_choices, holds, starts
from tests.engines.zones.workshop import Bench, question, task
from tests.properties.plants import earliest, plant, reachable_states
from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.induction import Induction
from verifier.engines.lemmas import Samples
from verifier.engines.pieces import pieces
from verifier.engines.projection import some_choice
from verifier.engines.samples import samples
from verifier.logic.judge import Case, judge
from verifier.logic.native import Result, Room, Term
from verifier.logic.rows import Row
from verifier.logic.tick import Limits, any_tick
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.fold import evaluate
from verifier.system.model import System
from verifier.verdict.evidence import Invariant, Stopped, Why

LIMITS = Limits(steps=20_000_000, seconds=20)
SYSTEMS = int(os.environ.get("LATCHWORK_SYSTEMS", "240"))
FIRST = int(os.environ.get("LATCHWORK_FIRST_SEED", "0"))
PARTS = 4


@pytest.mark.parametrize("tick", [1000, 10])
@pytest.mark.parametrize("make", CROWDS, ids=lambda make: make().name)
def test_crowds_are_proved(make: type, tick: int) -> None:
    system = make().system(tick)
    for name, one in tasks(system).items():
        found = Induction().run(one, Budget.of(5.0))
        assert isinstance(found, Invariant), name
        case = Case(system, one.target, one.question.anywhere)
        assert judge(case, found, LIMITS).ruling.sound, name


@pytest.mark.parametrize("part", range(PARTS))
def test_proofs_agree_with_every_state(part: int) -> None:
    kinds: Counter[str] = Counter()
    for seed in range(FIRST + part, FIRST + SYSTEMS, PARTS):
        system, target = plant(seed)
        anywhere = seed % 4 == 3
        roots = [target, system.domain] if anywhere else [target]
        asked = question(target, system.pool, anywhere=anywhere)
        one = Task(cone(system, roots), asked, Asked.BAD, target, None, seed)
        found = Induction().run(one, Budget.of(1.0))
        kinds[type(found).__name__] += 1
        if isinstance(found, Invariant):
            assert earliest(system, target, anywhere=anywhere) is None, seed
            assert judge(Case(system, target, anywhere), found, LIMITS).ruling.sound, seed
    assert kinds["Invariant"]
    assert kinds["Stopped"]


def counting(length: int) -> Plant:
    """A ring of registers with one live at a time: two neighbours are never both live."""
    bench = Bench()
    bits = [bench.register(f"r{place}", start=place == 0) for place in range(length)]
    for place in range(length):
        bench.draft.becomes(bits[place], bits[place - 1])
    target = bench.pool.and_(bits[0], bits[1])
    return Plant(f"ring of {length}", bench.system(), target, None)


def test_lemmas_take_the_place_of_many_ticks() -> None:
    """A live pair comes round after as many ticks as the ring is long; lemmas need one tick."""
    for length, ticks in ((5, 5), (8, None)):
        known = counting(length)
        one = task(known.system, known.target)
        found = Induction(stages=(0,)).run(one, Budget.of(5.0))
        assert (found.ticks if isinstance(found, Invariant) else None) == ticks
        found = Induction().run(one, Budget.of(5.0))
        assert isinstance(found, Invariant)
        assert found.ticks == 1


def delay(length: int) -> tuple[System, Node]:
    """Two rows of registers that hand on what one button says: their ends never differ."""
    bench = Bench()
    pool = bench.pool
    said = bench.choice("say")
    ends = []
    for row in "ab":
        bits = [bench.register(f"{row}{place}") for place in range(length)]
        for bit, before in zip(bits, [said, *bits], strict=False):
            bench.draft.becomes(bit, before)
        ends.append(bits[-1])
    return bench.system(), pool.and_(ends[0], pool.not_(ends[1]))


def test_k_is_as_small_as_it_can_be() -> None:
    system, target = delay(3)
    found = Induction(stages=(0,)).run(task(system, target), Budget.of(5.0))
    assert isinstance(found, Invariant)
    assert found.ticks == 3
    case = Case(system, target, anywhere=False)
    assert judge(case, found, LIMITS).ruling.sound
    assert not judge(case, Invariant(found.node, 2), LIMITS).ruling.sound
    found = Induction().run(task(system, target), Budget.of(5.0))
    assert isinstance(found, Invariant)
    assert found.ticks == 1
    assert isinstance(
        Induction(ticks=2, stages=(0,)).run(task(system, target), Budget.of(5.0)), Stopped
    )


def asked_within(room: Room, given: Sequence[Term]) -> Result:
    return room.check(given)


def test_what_is_left_keeps_itself_and_no_more_could() -> None:
    """All that is thrown out can be broken while the rest holds; all that is left cannot."""
    for seed in range(12):
        system, target = plant(seed)
        part = cone(system, [target])
        bits = [system.pool.register(index) for index in part.registers]
        nodes = [system.pool.or_(a, system.pool.not_(b)) for a, b in product(bits, bits) if a != b]
        with Room() as room:
            row = Row.of(room, part, any_tick(room, part), 1, asked_within)
            row.settle(nodes)
            left = [one.node for one in row.watched.values()]
            assert all(row.keepers(node) is not None for node in left), seed
            assert all(row.keepers(node) is None for node in nodes if node not in left), seed


def test_guesses_hold_in_all_samples() -> None:
    for make in MAKERS:
        known = make()
        one = task(known.system, known.target)
        states = samples(one, Budget.of(1.0), 200)
        if not states:
            assert known.first is not None
            continue
        part = one.cone
        for node in Samples(part, known.target, states).guesses():
            for bits, spans in states:
                registers = [False] * len(known.system.registers)
                clocks = [0] * len(known.system.clocks)
                for index, bit in zip(part.registers, bits, strict=True):
                    registers[index] = bit
                for index, span in zip(part.clocks, spans, strict=True):
                    clocks[index] = span
                assert evaluate([node], (), registers, clocks)[node.number], known.name


def test_samples_are_states_that_runs_come_to() -> None:
    for seed in range(40):
        system, target = plant(seed)
        one = task(system, target)
        known = {
            (
                tuple(state.registers[index] for index in one.cone.registers),
                tuple(state.clocks[index] for index in one.cone.clocks),
            )
            for state in reachable_states(system, starts(system, anywhere=False))
        }
        assert set(samples(one, Budget.of(1.0), 300)) <= known, seed


def test_a_target_is_told_without_choices() -> None:
    for seed in range(60):
        system, target = plant(seed)
        node = some_choice(system, target)
        assert node is not None
        every = list(all_choices(system))
        for state in list(reachable_states(system, starts(system, anywhere=False)))[:40]:
            met = any(holds(target, state, choices) for choices in every)
            assert holds(node, state, every[0]) == met, seed


def test_a_target_falls_into_pieces_only_where_they_are_smaller() -> None:
    bench = Bench()
    bits = [bench.latch(bench.choice(f"c{place}"), bench.pool.no) for place in range(3)]
    target = bench.pool.or_(*bits)
    parts = pieces(task(bench.system(), target))
    assert [len(part.cone.registers) for part in parts] == [1, 1, 1]
    mixed = bench.pool.or_(bits[0], bench.pool.and_(*bits))
    assert len(pieces(task(bench.system(), mixed))) == 1
    assert len(pieces(task(bench.system(), bits[0]))) == 1


def test_met_by_chance_is_said_at_once() -> None:
    known = next(make() for make in MAKERS if make().first == 1)
    found = Induction().run(task(known.system, known.target), Budget.of(5.0))
    assert found == Stopped(Why.NOTHING, "a random run meets the target: nothing to prove")
