"""A second opinion on verdicts: every state, tick by tick, with nothing cleverer than a set.

It shares the lowering and the printed tick with the verifier and nothing else: no jumps, no zones,
no solver. Spans drawn from ranges and claims from anywhere are beyond it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import product

from verifier.system.cone import cone
from verifier.system.model import Form, Question, System
from verifier.system.program import Program, program
from verifier.system.state import State, only, start_of

MOST = 60_000
"""No more states than this."""

At = tuple[tuple[bool, ...], tuple[int, ...]]


class TooManyError(Exception):
    """There are too many states for this."""


@dataclass(slots=True)
class Graph:
    """All states, each with what follows it, and whether the first roots can hold there."""

    after: dict[At, set[At]] = field(default_factory=dict)
    level: dict[At, int] = field(default_factory=dict)
    waits: dict[At, set[At]] = field(default_factory=dict)
    hits: set[At] = field(default_factory=set)


def suits(system: System, question: Question) -> bool:
    """Whether the question can be answered here."""
    return not question.anywhere and not any(clock.ranged for clock in system.clocks)


def holds(system: System, question: Question) -> bool:
    """Return whether a claim holds.

    Raises:
        TooManyError: there are more states than `MOST`.
    """
    graph = explored(system, question)
    match question.form:
        case Form.AVOID:
            return not graph.hits
        case Form.REACH:
            return bool(graph.hits)
        case Form.OPEN:
            steps = backward(graph)
            limit = MOST if question.limit is None else question.limit
            return all(steps.get(at, MOST + 1) <= limit for at in graph.level)
        case Form.AGAIN:
            return not graph.hits and not circles(graph.waits)


def explored(system: System, question: Question) -> Graph:
    """Follow all choices from the start; a hit ends the search where one is enough."""
    looked_for = question.goal if question.form in {Form.REACH, Form.OPEN} else question.bad
    part = cone(system, [looked_for, question.waiting, system.allowed])
    run, graph = program(part), Graph()
    start = only(part, start_of(system))
    edge = [(start.registers, start.clocks)]
    graph.level[edge[0]] = 0
    while edge and (question.form is Form.OPEN or not graph.hits):
        edge = [new for at in edge for new in follow(run, at, graph)]
        if len(graph.level) > MOST:
            raise TooManyError
    return graph


def follow(run: Program, at: At, graph: Graph) -> Iterator[At]:
    """Note what can be at a state and after it; yield the states that are new."""
    system = run.cone.system
    free = [range(len(one.options)) for one in system.choices]
    ways = [free[index] if index in run.cone.choices else (0,) for index in range(len(free))]
    rest = (0,) * len(system.clocks)
    for choices in product(*ways):
        registers, clocks, values = run.tick(*at, choices, rest)
        found, waiting, allowed = values
        if not allowed:
            continue
        if found:
            graph.hits.add(at)
        beyond = only(run.cone, State(registers, clocks))
        new = (beyond.registers, beyond.clocks)
        graph.after.setdefault(at, set()).add(new)
        if waiting:
            graph.waits.setdefault(at, set()).add(new)
        if new not in graph.level:
            graph.level[new] = graph.level[at] + 1
            yield new


def backward(graph: Graph) -> dict[At, int]:
    """Return the least number of ticks from each state to a hit, where there is a way."""
    before: dict[At, set[At]] = {}
    for at, all_after in graph.after.items():
        for new in all_after:
            before.setdefault(new, set()).add(at)
    steps = dict.fromkeys(graph.hits, 0)
    edge = list(graph.hits)
    for at in edge:  # grows while it is walked
        for earlier in before.get(at, ()):
            if earlier not in steps:
                steps[earlier] = steps[at] + 1
                edge.append(earlier)
    return steps


def circles(waits: dict[At, set[At]]) -> bool:
    """Whether some run can wait for ever: states that lead nowhere are taken away until none is."""
    left = {at: {new for new in after if new in waits} for at, after in waits.items()}
    before: dict[At, set[At]] = {}
    for at, after in left.items():
        for new in after:
            before.setdefault(new, set()).add(at)
    ends = [at for at, after in left.items() if not after]
    gone = set(ends)
    while ends:
        end = ends.pop()
        for earlier in before.get(end, ()):
            left[earlier].discard(end)
            if not left[earlier] and earlier not in gone:
                gone.add(earlier)
                ends.append(earlier)
    return len(gone) < len(left)
