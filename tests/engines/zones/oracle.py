"""Exhaustive search over a small system by the plain meaning of its nodes, tick by tick."""

from collections.abc import Iterator
from itertools import product

from verifier.system.expr import Node, Op
from verifier.system.model import Cone, System
from verifier.verdict.trace import State

Choices = tuple[int, ...]


def holds(node: Node, state: State, choices: Choices) -> bool:
    """Evaluate a node, by recursion."""
    match node.op:
        case Op.CONST:
            return bool(node.data[0])
        case Op.PICK:
            return choices[node.data[0]] == node.data[1]
        case Op.REGISTER:
            return state.registers[node.data[0]]
        case Op.ABOVE:
            return state.clocks[node.data[0]] > node.data[1]
        case Op.GAP:
            return state.clocks[node.data[0]] - state.clocks[node.data[1]] <= node.data[2]
        case Op.NOT:
            return not holds(node.args[0], state, choices)
        case Op.AND:
            return all(holds(arg, state, choices) for arg in node.args)
        case Op.OR:
            return any(holds(arg, state, choices) for arg in node.args)
        case Op.IF:
            return holds(node.args[1 if holds(node.args[0], state, choices) else 2], state, choices)


def all_choices(system: System) -> Iterator[Choices]:
    """Yield every way the choices may stand."""
    yield from product(*(range(len(choice.options)) for choice in system.choices))


def afterwards(system: System, state: State, choices: Choices) -> Iterator[State]:
    """Yield the states one tick later, one for each way to draw the spans."""
    registers = tuple(holds(register.next, state, choices) for register in system.registers)
    spans: list[range] = []
    for clock, now in zip(system.clocks, state.clocks, strict=True):
        for load in clock.loads:
            if holds(load.when, state, choices):
                low, high = load.low, load.high
                if load.turned:
                    low = high = max(0, load.low - now)
                break
        else:
            low = high = max(0, now - 1) if holds(clock.runs, state, choices) else now
        spans.append(range(low, high + 1))
    for clocks in product(*spans):
        yield State(registers, clocks)


def every_state(system: System) -> Iterator[State]:
    """Yield all states there could be."""
    registers = product((False, True), repeat=len(system.registers))
    clocks = list(product(*(range(clock.longest + 1) for clock in system.clocks)))
    for bits in registers:
        for ticks in clocks:
            yield State(bits, ticks)


def starts(system: System, *, anywhere: bool) -> Iterator[State]:
    """Yield the states that runs start in."""
    if not anywhere:
        yield State(
            tuple(register.start for register in system.registers),
            tuple(clock.start for clock in system.clocks),
        )
        return
    rest = tuple(0 for _ in system.choices)
    for state in every_state(system):
        own = all(
            now == register.start
            for now, register in zip(state.registers, system.registers, strict=True)
            if not register.kept
        ) and all(
            now == clock.start
            for now, clock in zip(state.clocks, system.clocks, strict=True)
            if not clock.kept
        )
        if own and holds(system.domain, state, rest):
            yield state


def meets(system: System, target: Node, *, anywhere: bool = False) -> bool:
    """Whether some run meets the target."""
    fresh = list(starts(system, anywhere=anywhere))
    seen = set(fresh)
    every = list(all_choices(system))
    while fresh:
        state = fresh.pop()
        for choices in every:
            if not holds(system.allowed, state, choices):
                continue
            if holds(target, state, choices):
                return True
            for further in afterwards(system, state, choices):
                if further not in seen:
                    seen.add(further)
                    fresh.append(further)
    return False


def faults(cone: Cone, target: Node, proof: Node, *, anywhere: bool = False) -> list[str]:
    """Return what is wrong with an invariant, looking at every state there could be."""
    system = cone.system
    found = []
    rest = tuple(0 for _ in system.choices)
    if not all(holds(proof, state, rest) for state in starts(system, anywhere=anywhere)):
        found.append("a start state is left out")
    every = list(all_choices(system))
    for state in every_state(system):
        if not holds(proof, state, rest):
            continue
        for choices in every:
            if not holds(system.allowed, state, choices):
                continue
            if holds(target, state, choices):
                found.append(f"meets the target: {state} {choices}")
            found += [
                f"leads out: {state} {choices} {further}"
                for further in afterwards(system, state, choices)
                if not holds(proof, further, rest)
            ]
    return found
