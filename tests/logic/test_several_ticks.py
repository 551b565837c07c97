"""Induction over several ticks: rulings against a look at every state."""

from collections import Counter
from collections.abc import Iterator

from tests.bank.plants import finished
from tests.engines.zones.oracle import afterwards, all_choices, every_state, holds, starts
from tests.engines.zones.workshop import Bench
from tests.logic.mutations import of_node
from tests.properties.plants import plant
from verifier.logic.judge import Case, judge
from verifier.logic.tick import MOST_TICKS, Limits
from verifier.system.expr import Node, Op
from verifier.system.fold import leaves
from verifier.system.model import System
from verifier.system.state import State
from verifier.verdict.evidence import Invariant
from verifier.verdict.ruling import Finding

LIMITS = Limits(steps=20_000_000, seconds=20)


def following(system: System, states: set[State]) -> Iterator[State]:
    for state in states:
        for choices in all_choices(system):
            if holds(system.allowed, state, choices):
                yield from afterwards(system, state, choices)


def is_one(system: System, node: Node, target: Node, ticks: int, *, anywhere: bool) -> bool:
    """Say whether a condition is an invariant by induction over so many ticks."""
    rest = tuple(0 for _ in system.choices)
    meeting = {state for state in every_state(system) if holds(node, state, rest)}
    layer = set(starts(system, anywhere=anywhere))
    for _ in range(ticks):
        if not layer <= meeting:
            return False
        layer = set(following(system, layer))
    bad = system.pool.and_(system.allowed, target)
    if any(holds(bad, at, choices) for at in meeting for choices in all_choices(system)):
        return False
    ends = meeting
    for _ in range(ticks - 1):
        ends = set(following(system, ends)) & meeting
    return set(following(system, ends)) <= meeting


def ring(count: int) -> tuple[System, Node]:
    """A token runs round a ring of registers, from the first; it is in two of them never."""
    bench = Bench()
    bits = [bench.register(f"r{n}", start=n == 0) for n in range(count)]
    for place, bit in enumerate(bits):
        bench.draft.becomes(bit, bits[place - 1])
    return finished(bench), bench.pool.and_(bits[0], bits[1])


def test_a_ring_needs_as_many_ticks_as_it_has_places() -> None:
    """Two neighbours are live once in each round of five, so four ticks without tell nothing."""
    system, target = ring(5)
    node = system.pool.not_(target)
    case = Case(system, target, anywhere=False)
    found = {
        ticks: judge(case, Invariant(node, ticks), LIMITS).ruling.finding for ticks in range(1, 8)
    }
    assert found == {ticks: Finding.SOUND if ticks >= 5 else Finding.WRONG for ticks in range(1, 8)}


def test_rulings_over_several_ticks_are_those_of_every_state() -> None:
    rulings: Counter[tuple[int, Finding]] = Counter()
    for seed in range(20):
        system, target = plant(seed)
        anywhere = seed % 4 == 3
        pool = system.pool
        simple = [] if leaves([target])[Op.PICK] else [pool.not_(target)]
        nodes = [*simple, *(pool.not_(pool.register(n)) for n in range(len(system.registers)))]
        nodes += [other for node in simple for other in of_node(pool, node)][:2]
        for node in nodes:
            for ticks in (1, 2, 3):
                case = Case(system, target, anywhere)
                finding = judge(case, Invariant(node, ticks), LIMITS).ruling.finding
                sound = is_one(system, node, target, ticks, anywhere=anywhere)
                assert finding is (Finding.SOUND if sound else Finding.WRONG), (seed, ticks)
                rulings[ticks, finding] += 1
    for ticks in (1, 2, 3):
        assert rulings[ticks, Finding.SOUND] > 0
        assert rulings[ticks, Finding.WRONG] > 15
    assert rulings[3, Finding.SOUND] > rulings[1, Finding.SOUND]


def test_more_ticks_than_anyone_needs_are_refused() -> None:
    system, target = ring(3)
    for ticks in (0, -1, MOST_TICKS + 1):
        proof = Invariant(system.pool.not_(target), ticks)
        ruling = judge(Case(system, target, anywhere=False), proof, LIMITS).ruling
        assert ruling.finding is Finding.WRONG
