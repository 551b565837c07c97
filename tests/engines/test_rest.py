"""Runs in which those rest whom a claim does not hang on are runs of the whole."""

from dataclasses import replace

from tests.bank.garden import FINE
from tests.bank.grounds import plant
from tests.engines.zones.workshop import task as task_of
from tests.properties.plants import plant as random_plant
from verifier.engines.contract import Budget, Task
from verifier.engines.rest import scenes
from verifier.engines.walk import Walk
from verifier.simulate.onward import completed
from verifier.system.cone import cone
from verifier.system.model import Choice, Register, System
from verifier.verdict.evidence import Asked, Reaches
from verifier.verdict.replay import replay


def test_each_piece_of_a_target_is_a_scene_of_its_own() -> None:
    task = claim_of_plant("well", fault=True)
    parts = scenes(task, Budget.of(1.0))
    assert len(parts) > 2
    assert min(len(part.cone.choices) for part in parts) == 0


def test_a_fault_of_one_corner_is_found_in_a_plant() -> None:
    task = claim_of_plant("well", fault=True)
    found = Walk().run(task, Budget.of(1.0, patience=60.0))
    assert isinstance(found, Reaches)
    trace = completed(task.cone.system, found.trace)
    assert replay(task.cone.system, trace, task.target, anywhere=False).ruling.sound


def test_what_a_scene_meets_the_whole_meets() -> None:
    """On random systems with somebody more in them, whom only the assumptions know."""
    met = smaller = 0
    for seed in range(50):
        system, target = random_plant(seed)
        task = task_of(with_bystander(system), target)
        [scene, *_] = scenes(task, Budget.of(1.0))
        smaller += len(scene.cone.choices) < len(task.cone.choices)
        found = Walk().run(task, Budget.of(0.02, patience=60.0))
        if isinstance(found, Reaches):
            trace = completed(task.cone.system, found.trace)
            assert replay(task.cone.system, trace, target, anywhere=False).ruling.sound, seed
            met += 1
    assert met > 15
    assert smaller > 20


def with_bystander(system: System) -> System:
    """Add a choice, with a memory, that may not be made anew while choice 0 is."""
    pool = system.pool
    bystander, memory = len(system.choices), len(system.registers)
    acts = pool.pick(bystander, 1)
    starts = pool.and_(acts, pool.not_(pool.register(memory)))
    first = pool.pick(0, 1) if system.choices else pool.no
    return replace(
        system,
        choices=(*system.choices, Choice("bystander", ("no", "yes"), is_press=True)),
        registers=(*system.registers, Register("was", start=False, next=acts, kept=False)),
        allowed=pool.and_(system.allowed, pool.not_(pool.and_(starts, first))),
    )


def claim_of_plant(name: str, *, fault: bool = False) -> Task:
    system = plant(fault=fault).system(FINE)
    question = next(one for one in system.questions if one.name == name)
    part = cone(system, [question.bad])
    return Task(part, question, Asked.BAD, question.bad, None, 0)
