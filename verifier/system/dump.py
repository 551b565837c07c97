"""A system, or one expression, as text.

One line a thing: a word, numbers, and names in quotes as JSON writes them. Nodes are numbered
afresh without gaps, arguments first; 0 is no and 1 is yes. The same design always gives the same
text, so that its hash names the system that a certificate is about (docs/certificates.md).
"""

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence

from verifier.system.expr import Node, Op, Pool, reachable
from verifier.system.model import Bits, Choice, Clock, Question, Register, System


def dump(system: System) -> str:
    """Return a system as text."""
    roots = [*_roots(system)]
    number, nodes = _nodes(system.pool, roots)
    lines = [
        f"system {quoted(system.design.name)}",
        *(_choice(choice) for choice in system.choices),
        *nodes,
        *(_register(register, number) for register in system.registers),
        *(_clock(clock, number) for clock in system.clocks),
        f"allowed {number[system.allowed.number]}",
        f"domain {number[system.domain.number]}",
        *(_question(question, number) for question in system.questions),
        *(_shown(path, bits, number) for path, bits in system.shown.items()),
        "end",
    ]
    return "\n".join([*lines, ""])


def dump_node(pool: Pool, node: Node, remark: Callable[[Node], str] = lambda _node: "") -> str:
    """Return one expression of a pool as text; its registers, clocks and choices go by number.

    `remark` gives what people are told beside a node.
    """
    number, lines = _nodes(pool, [node], remark)
    return "\n".join([*lines, f"root {number[node.number]}", ""])


def digest(system: System) -> str:
    """Return the SHA-256 (FIPS 180-4) of the text of a system, in hexadecimal digits."""
    return hashlib.sha256(dump(system).encode()).hexdigest()


def _roots(system: System) -> Iterator[Node]:
    yield from (register.next for register in system.registers)
    for clock in system.clocks:
        yield clock.runs
        yield from (load.when for load in clock.loads)
    yield from (system.allowed, system.domain)
    for question in system.questions:
        yield from (question.bad, question.goal, question.waiting)
        if question.trigger is not None:
            yield question.trigger
    for bits in system.shown.values():
        yield from bits.nodes


def _nodes(
    pool: Pool, roots: Sequence[Node], remark: Callable[[Node], str] = lambda _node: ""
) -> tuple[dict[int, int], list[str]]:
    number: dict[int, int] = {}
    lines = []
    for node in reachable([pool.no, pool.yes, *roots]):
        own = number[node.number] = len(number)
        if node.op is not Op.CONST:
            inner = node.data or tuple(number[arg.number] for arg in node.args)
            lines.append(f"node {own} {node.op.value} {' '.join(map(str, inner))}{remark(node)}")
    return number, lines


def quoted(name: str) -> str:
    """Return a name in quotes, on one line."""
    return json.dumps(name, ensure_ascii=False)


def _choice(choice: Choice) -> str:
    kind = "press" if choice.is_press else "step"
    return f"choice {kind} {quoted(choice.name)} {' '.join(map(quoted, choice.options))}"


def _register(register: Register, number: Mapping[int, int]) -> str:
    kind = "kept" if register.kept else "watch"
    next_ = number[register.next.number]
    return f"register {kind} {int(register.start)} {next_} {quoted(register.name)}"


def _clock(clock: Clock, number: Mapping[int, int]) -> str:
    kind = "kept" if clock.kept else "watch"
    parts = [f"clock {kind} {clock.start} {number[clock.runs.number]} {quoted(clock.name)}"]
    for load in clock.loads:
        kind = "turned" if load.turned else "load"
        parts.append(f"{kind} {number[load.when.number]} {load.low} {load.high}")
    return " ".join(parts)


def _question(question: Question, number: Mapping[int, int]) -> str:
    trigger = "none" if question.trigger is None else str(number[question.trigger.number])
    limit = "none" if question.limit is None else str(question.limit)
    nodes = (question.bad, question.goal, question.waiting)
    return " ".join(
        [
            f"question {question.form.value} {quoted(question.name)}",
            *(str(number[node.number]) for node in nodes),
            f"{trigger} {limit} {int(question.anywhere)} {int(question.whatever)}",
        ]
    )


def _shown(path: str, bits: Bits, number: Mapping[int, int]) -> str:
    timer = "none" if bits.timer is None else str(bits.timer)
    nodes = [str(number[node.number]) for node in bits.nodes]
    return " ".join([f"shown {quoted(path)} {bits.low} {timer}", *nodes])
