"""One slip in a piece of evidence: a bound off by a tick, a part left out, a literal turned ..."""

from collections.abc import Iterator
from dataclasses import replace

from verifier.system.expr import Node, Op, Pool, reachable
from verifier.system.fold import fold
from verifier.system.state import State, Step
from verifier.verdict.evidence import Act, Explored
from verifier.verdict.trace import Trace


def of_node(pool: Pool, node: Node) -> Iterator[Node]:
    """Yield the condition with one slip in it, for each slip there is, each once."""
    seen = {node.number}
    for place in reachable([node]):
        for other in _slips(pool, place):
            changed = _swapped(pool, node, place, other)
            if changed.number not in seen:
                seen.add(changed.number)
                yield changed


def _slips(pool: Pool, node: Node) -> Iterator[Node]:
    match node.op:
        case Op.ABOVE | Op.GAP:
            *clocks, bound = node.data
            for off in (bound - 1, bound + 1):
                if node.op is Op.GAP or off >= 0:
                    yield pool.exactly(node.op, (), (*clocks, off))
            yield pool.not_(node)
        case Op.REGISTER:
            yield pool.not_(node)
        case Op.AND | Op.OR:
            for place in range(len(node.args)):
                yield pool.exactly(node.op, (*node.args[:place], *node.args[place + 1 :]))
        case _:
            pass


def _swapped(pool: Pool, root: Node, old: Node, new: Node) -> Node:
    """Return the root with one node under it replaced."""

    def visit(node: Node, args: tuple[Node, ...]) -> Node:
        if node is old:
            return new
        return pool.exactly(node.op, args, node.data) if args else node

    return fold([root], visit)[root.number]


def of_list(listed: Explored) -> Iterator[Explored]:
    """Yield the list with a state left out, one more, or another rank."""
    for state, rank in listed.states.items():
        rest = {one: other for one, other in listed.states.items() if one != state}
        yield replace(listed, states=rest)
        yield replace(listed, states={**listed.states, state: rank + 1})
        yield replace(listed, states={**listed.states, state: rank - 1})
        yield replace(listed, states=rest, dead={**listed.dead, state: 0})
        for near in _neighbours(state):
            if near not in listed.states:
                yield replace(listed, states={**listed.states, near: rank})


def _neighbours(state: State) -> Iterator[State]:
    for place, live in enumerate(state.registers):
        turned = (*state.registers[:place], not live, *state.registers[place + 1 :])
        yield replace(state, registers=turned)


def of_trace(trace: Trace) -> Iterator[Trace]:
    """Yield the run with a step longer, shorter or left out, or with another choice in it."""
    for place, step in enumerate(trace.steps):
        for other in (*_steps(step), None):
            put = () if other is None else (other,)
            yield replace(trace, steps=(*trace.steps[:place], *put, *trace.steps[place + 1 :]))


def _steps(step: Step) -> Iterator[Step]:
    yield replace(step, ticks=step.ticks + 1)
    if step.ticks > 1:
        yield replace(step, ticks=step.ticks - 1)
    for place, option in enumerate(step.choices):
        for other in {0, 1, 2} - {option}:
            choices = (*step.choices[:place], other, *step.choices[place + 1 :])
            yield replace(step, choices=choices)


def of_script(script: tuple[Act, ...]) -> Iterator[tuple[Act, ...]]:
    """Yield the script with an act left out, of other length, or with another choice in it."""
    for place, act in enumerate(script):
        step = Step(act.choices, (), act.ticks)
        for other in (*_steps(step), None):
            put = () if other is None else (Act(other.choices, other.ticks),)
            yield (*script[:place], *put, *script[place + 1 :])
