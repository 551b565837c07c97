"""Certificates with one slip in them: refused, or true all the same as a look at every state shows.

Here a slice is tried; LATCHWORK_MUTANTS=all tries them all.
"""

import os
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from random import Random
from typing import TypeVar

import pytest

from tests.bank.plants import interlock, lamp_both, lucky, polite, too_long
from tests.engines.zones.oracle import faults
from tests.engines.zones.workshop import budget, question, task
from tests.logic.mutations import of_list, of_node, of_script, of_trace
from tests.properties.plants import dead_end, distances, earliest, plant, waits_for_ever
from verifier.engines.contract import Budget, Task
from verifier.engines.explicit import Explicit
from verifier.engines.waits import Waits
from verifier.engines.ways import Ways
from verifier.engines.zones import Zones
from verifier.logic import second
from verifier.logic.judge import Case, judge
from verifier.logic.tick import Limits
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import System
from verifier.verdict.evidence import (
    Asked,
    Explored,
    Guided,
    Invariant,
    Patient,
    Reaches,
    Trapped,
)
from verifier.verdict.explored import Shows
from verifier.verdict.replay import follow
from verifier.verdict.ruling import Finding

LIMITS = Limits(steps=20_000_000, seconds=20)
ALL = os.environ.get("LATCHWORK_MUTANTS") == "all"
SEEDS = range(240) if ALL else range(48)
EACH = None if ALL else 8
T = TypeVar("T")


def some(slips: Iterator[T], seed: int) -> list[T]:
    """Return all of them, or a few drawn at random."""
    found = list(slips)
    Random(seed).shuffle(found)
    return list(islice(found, EACH))


def tell(what: str, count: object) -> None:
    """Print a count, for `pytest -s`."""
    sys.stdout.write(f"\n{what}: {count}\n")


def small() -> Iterator[tuple[System, Node, bool]]:
    """Yield systems of which every state can be looked at, with targets that are never met."""
    for made in (lamp_both(4), too_long(5, 5, None), lucky(2, 4, 4, None), polite()):
        yield made.system, made.target, False
    for seed in SEEDS:
        system, target = plant(seed)
        yield system, target, seed % 4 == 3


def test_slips_in_invariants_are_found() -> None:
    rulings: Counter[Finding] = Counter()
    for number, (system, target, anywhere) in enumerate(small()):
        found = Zones().run(task(system, target, anywhere=anywhere), budget(2.0))
        if not isinstance(found, Invariant):
            continue
        case = Case(system, target, anywhere)
        part = cone(system, [found.node, target, *([system.domain] if anywhere else [])])
        assert judge(case, found, LIMITS).ruling.sound
        for node in some(of_node(system.pool, found.node), number):
            finding = judge(case, Invariant(node), LIMITS).ruling.finding
            flawed = bool(faults(part, target, node, anywhere=anywhere))
            assert finding is (Finding.WRONG if flawed else Finding.SOUND), number
            rulings[finding] += 1
    tell("invariants with a slip", rulings)
    assert rulings[Finding.WRONG] > 80
    assert rulings[Finding.SOUND] > 0


@pytest.mark.skipif(not second.installed(), reason="there is no second solver")
def test_slips_in_larger_invariants_are_found_by_both_solvers() -> None:
    """All states are too many to look at, but what one solver takes the other has to take too."""
    both = Limits(steps=20_000_000, seconds=20, second=True)
    rulings: Counter[Finding] = Counter()
    for made in (too_long(60, 60, None), interlock(yields=True), lucky(4, 9, 9, None)):
        case = Case(made.system, made.target, anywhere=False)
        found = Zones().run(task(made.system, made.target), budget(2.0))
        assert isinstance(found, Invariant)
        for node in some(of_node(made.system.pool, found.node), 1):
            ruling = judge(case, Invariant(node), both).ruling
            assert ruling.finding is Finding.WRONG or ruling.by == ("z3", "cvc5")
            rulings[ruling.finding] += 1
    tell("larger invariants with a slip", rulings)
    assert rulings[Finding.WRONG] > 10


def asked_of(system: System, target: Node, asked: Asked) -> Task:
    part = cone(system, [target])
    return Task(part, question(target, system.pool), asked, target, None, seed=1)


def test_slips_in_lists_of_states_are_found() -> None:
    """No list that is changed is taken, but for ranks of what waits, of which there are many."""
    kinds = (
        (Asked.BAD, Shows.NEVER),
        (Asked.OPEN, Shows.CAN_COME),
        (Asked.WAITING, Shows.MUST_COME),
    )
    refused: Counter[Shows] = Counter()
    for seed in SEEDS:
        system, target = plant(seed)
        for asked, shows in kinds:
            found = Explicit().run(asked_of(system, target, asked), budget(5.0))
            if not isinstance(found, Explored):
                continue
            case = Case(system, target, anywhere=False, shows=shows)
            assert judge(case, found, LIMITS).ruling.sound
            for listed in some(of_list(found), seed):
                other_ranks = listed.states.keys() == found.states.keys()
                free = other_ranks and shows is not Shows.CAN_COME and listed.dead == found.dead
                ruling = judge(case, listed, LIMITS).ruling
                assert free or not ruling.sound, (seed, shows)
                refused[shows] += not ruling.sound
    tell("lists with a slip refused", refused)
    assert all(refused[shows] > 20 for _, shows in kinds)


def test_slips_in_runs_are_found() -> None:
    """A changed run is refused, or meets the target at its last tick all the same."""
    refused = 0
    for seed in SEEDS:
        system, target = plant(seed)
        first = earliest(system, target)
        found = Explicit().run(asked_of(system, target, Asked.BAD), budget(5.0))
        if not isinstance(found, Reaches) or first is None:
            continue
        case = Case(system, target, anywhere=False)
        for trace in some(of_trace(found.trace), seed):
            ruling = judge(case, Reaches(trace), LIMITS).ruling
            assert not ruling.sound or trace.length - 1 >= first
            refused += not ruling.sound
    tell("runs with a slip refused", refused)
    assert refused > 25


def test_slips_in_plans_and_bounds_are_found() -> None:
    """What is taken with a slip in it is true all the same, as a look at every state shows."""
    refused: Counter[str] = Counter()
    for seed in SEEDS if ALL else range(12):
        system, goal = plant(seed)
        for name, found in _plans(system, goal):
            case = Case(system, goal, anywhere=False)
            assert judge(case, found, LIMITS).ruling.sound, (seed, name)
            for changed in _changed(system, found, seed):
                if judge(case, changed, LIMITS).ruling.sound:
                    assert _true(system, goal, changed), (seed, name)
                else:
                    refused[name] += 1
    tell("plans and bounds with a slip refused", refused)
    assert refused["plan"] > 15
    assert refused["bound"] > 15


def _plans(system: System, goal: Node) -> Iterator[tuple[str, Guided | Patient]]:
    plan = Ways(traps=0).run(asked_of(system, goal, Asked.OPEN), Budget.of(0.2, patience=60.0))
    if isinstance(plan, Guided):
        yield "plan", plan
    bound = Waits().run(asked_of(system, goal, Asked.WAITING), Budget.of(0.2, patience=60.0))
    if isinstance(bound, Patient):
        yield "bound", bound


def _changed(system: System, found: Guided | Patient, seed: int) -> Iterator[Guided | Patient]:
    match found:
        case Guided(script, within, node):
            yield Guided(script, max(0, within // 8), node)
            yield from (Guided(other, within, node) for other in some(of_script(script), seed))
            nodes = some(of_node(system.pool, node), seed)
            yield from (Guided(script, within, other) for other in nodes)
        case Patient(ticks, node):
            yield Patient(ticks + 1, node)
            yield Patient(ticks - 1, node)
            yield from (Patient(ticks, other) for other in some(of_node(system.pool, node), seed))


def _true(system: System, goal: Node, found: Guided | Patient) -> bool:
    if isinstance(found, Guided):
        return not dead_end(system, goal, limit=found.within)
    return not waits_for_ever(system, goal)


def test_slips_in_traps_are_found() -> None:
    refused = 0
    for seed in range(2 * len(SEEDS)):
        system, goal = plant(seed)
        found = Explicit().run(asked_of(system, goal, Asked.OPEN), budget(5.0))
        if not isinstance(found, Trapped) or not isinstance(found.inside, Explored):
            continue
        case = Case(system, goal, anywhere=False)
        assert judge(case, found, LIMITS).ruling.sound
        for inside in some(of_list(found.inside), seed):
            if inside.states.keys() != found.inside.states.keys():
                changed = Trapped(found.trace, inside)
                assert not judge(case, changed, LIMITS).ruling.sound
                refused += 1
    tell("traps with a slip refused", refused)
    assert refused > 15


def test_slips_in_traps_for_a_time_are_found() -> None:
    """Nothing but a run to elsewhere is taken, where that is as far away."""
    refused = 0
    for seed in range(2 * len(SEEDS)):
        system, goal = plant(seed)
        task = asked_of(system, goal, Asked.OPEN)
        found = Explicit().run(replace(task, question=replace(task.question, limit=1)), budget(5.0))
        if not isinstance(found, Trapped) or found.beyond is None:
            continue
        case, inside = Case(system, goal, anywhere=False), found.inside
        assert isinstance(inside, Explored)
        assert judge(case, found, LIMITS).ruling.sound
        assert found.beyond + 1 == max(inside.states.values())
        slips = [replace(found, inside=one) for one in some(of_list(inside), seed)]
        slips += [replace(found, beyond=found.beyond + by) for by in (-1, 1)]
        for changed in slips:
            assert not judge(case, changed, LIMITS).ruling.sound, seed
            refused += 1
        away = distances(system, goal)
        for trace in some(of_trace(found.trace), seed):
            after = follow(system, trace).after
            fits = after is not None and away[after] == found.beyond + 1
            ruling = judge(case, replace(found, trace=trace), LIMITS).ruling
            assert ruling.sound is fits, seed
            refused += not fits
    tell("traps for a time with a slip refused", refused)
    assert refused > 15
