"""One tick worked out by hand from what verifier/system/model.py says, with nothing printed."""

from collections.abc import Sequence

from verifier.system.expr import Node
from verifier.system.fold import evaluate
from verifier.system.model import Clock, System
from verifier.system.state import State


def values(at: State, choices: Sequence[int], nodes: Sequence[Node]) -> tuple[bool, ...]:
    """Return the truth of some nodes at a tick."""
    seen = evaluate(nodes, choices, at.registers, at.clocks)
    return tuple(seen[node.number] for node in nodes)


def following(system: System, at: State, choices: Sequence[int], draws: Sequence[int]) -> State:
    """Return the state at the next tick."""

    def live(node: Node) -> bool:
        return values(at, choices, [node])[0]

    def shows(index: int, clock: Clock) -> int:
        now = at.clocks[index]
        for load in clock.loads:
            if live(load.when):
                if load.turned:
                    return max(0, load.low - now)
                return load.low if load.low == load.high else draws[index]
        return now - 1 if now > 0 and live(clock.runs) else now

    return State(
        tuple(live(register.next) for register in system.registers),
        tuple(shows(index, clock) for index, clock in enumerate(system.clocks)),
    )
