"""Goals to be reached whatever spans are drawn: choices that serve, or spans that foil them all.

A run that meets the goal may owe it to luck. So spans are put at one end of their ranges first, all
of them: where no choices lead to the goal then, none are sure. A run that does is tried as a script
that people follow from where it began, and proved to meet the goal however spans are drawn.
"""

from collections.abc import Iterator

from verifier.engines.bounded import Bounded
from verifier.engines.contract import Budget, Task
from verifier.engines.walk import Walk
from verifier.engines.ways import proof_of_never
from verifier.logic.judge import Case
from verifier.simulate.machine import machine
from verifier.simulate.onward import completed
from verifier.simulate.presses import Stretch, position_in, trace_of
from verifier.verdict.evidence import Certain, Foiled, Reaches
from verifier.verdict.trace import Trace
from verifier.verdict.variant import acts_of, begun_at, certain, drawn


def sure(task: Task, known: Trace, budget: Budget) -> Iterator[Certain | Foiled]:
    """Yield what seems to show that some choices are sure to meet the target, or that none are.

    `known` is a run that meets it.
    """
    system, target = task.cone.system, task.target
    scripts = [known]
    for longest in (True, False):
        at_end = drawn(system, longest=longest)
        share = budget.slice(budget.left() / 3)
        anywhere = task.question.anywhere
        node = proof_of_never(task, at_end, target, share, anywhere=anywhere)
        budget.use(share.used)
        if node is not None:
            yield Foiled(longest, node)
            continue
        part = Case(at_end, target, anywhere).cone
        there = Task(part, task.question, task.asked, target, task.horizon, 0)
        for engine in (Walk(), Bounded(share=0.0)):
            share = budget.slice(budget.left() / 4)
            found = engine.run(there, share)
            budget.use(share.used)
            if isinstance(found, Reaches):
                scripts.insert(0, found.trace)
                break
    for script in scripts:
        share = budget.slice(budget.left() / 2)
        way = _serving(task, script, share)
        budget.use(share.used)
        if way is not None:
            yield way


def _serving(task: Task, script: Trace, budget: Budget) -> Certain | None:
    """Return the script with the proof that it serves; None where none is found."""
    system = task.cone.system
    within = task.horizon
    if within is None:
        within = script.length + 3 * sum(clock.longest for clock in system.clocks)
    trace = _followed(task, script, within)
    if trace is None:
        return None
    begun = system if trace.start is None else begun_at(system, trace.start)
    variant = certain(begun, task.target, acts_of(trace), within)
    node = proof_of_never(task, variant.system, variant.target, budget, anywhere=False)
    return None if node is None else Certain(completed(system, trace), within, node)


def _followed(task: Task, script: Trace, within: int) -> Trace | None:
    """Return the run that comes of a script while spans come out longest; None: it misses."""
    follower = machine(task.cone, (task.target, task.cone.system.allowed))
    wishes = [clock.longest for clock in follower.clocks]
    start = None if script.start is None else position_in(task.cone, script.start)
    at = start or follower.start()
    done: list[Stretch] = []
    acts = acts_of(script)
    gone = 0
    for place, act in enumerate(acts):
        choices = tuple(act.choices[index] for index in task.cone.choices)
        last = place == len(acts) - 1
        left = within + 1 - gone if last else act.ticks
        while left > 0:
            look = follower.look(*at, choices)
            if not look.seen[1]:
                return None
            draws = follower.fitted(look, wishes)
            if look.seen[0]:
                return trace_of(task.cone, [*done, Stretch(1, choices, draws)], start)
            most = follower.longest_jump(at, look, draws)
            ticks = left if most is None else min(most, left)
            done.append(Stretch(ticks, choices, draws))
            at = follower.after(at, look, draws, ticks)
            gone += ticks
            left -= ticks
    return None
