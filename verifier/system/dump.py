"""A system, or one expression, as text that reads back.

One line a thing: a word, numbers, and names in quotes as JSON writes them. Nodes are numbered
afresh without gaps, arguments first; 0 is no and 1 is yes. The same design always gives the same
text, so that its hash names the system that a certificate is about.
"""

import hashlib
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice

from verifier.design.model import Claim, Design
from verifier.system.expr import Node, Op, Pool, reachable
from verifier.system.model import (
    Bits,
    Choice,
    Clock,
    Form,
    Load,
    Question,
    Register,
    System,
)

TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|[^\s"]+')
LEAVES = {Op.PICK, Op.REGISTER, Op.ABOVE, Op.GAP}


class UnreadableError(ValueError):
    """The text is no system, or none of this design."""


# --- writing --------------------------------------------------------------------------------------


def dump(system: System) -> str:
    """Return a system as text."""
    roots = [*_roots(system)]
    number, nodes = _nodes(system.pool, roots)
    lines = [
        f"system {_quoted(system.design.name)}",
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


def dump_node(pool: Pool, node: Node) -> str:
    """Return one expression of a pool as text; its registers, clocks and choices go by number."""
    number, lines = _nodes(pool, [node])
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


def _nodes(pool: Pool, roots: Sequence[Node]) -> tuple[dict[int, int], list[str]]:
    number: dict[int, int] = {}
    lines = []
    for node in reachable([pool.no, pool.yes, *roots]):
        number[node.number] = len(number)
        if node.op is not Op.CONST:
            inner = node.data or tuple(number[arg.number] for arg in node.args)
            lines.append(f"node {node.op.value} {' '.join(map(str, inner))}")
    return number, lines


def _quoted(name: str) -> str:
    return json.dumps(name, ensure_ascii=False)


def _choice(choice: Choice) -> str:
    kind = "press" if choice.is_press else "step"
    return f"choice {kind} {_quoted(choice.name)} {' '.join(map(_quoted, choice.options))}"


def _register(register: Register, number: Mapping[int, int]) -> str:
    kind = "kept" if register.kept else "watch"
    next_ = number[register.next.number]
    return f"register {kind} {int(register.start)} {next_} {_quoted(register.name)}"


def _clock(clock: Clock, number: Mapping[int, int]) -> str:
    kind = "kept" if clock.kept else "watch"
    parts = [f"clock {kind} {clock.start} {number[clock.runs.number]} {_quoted(clock.name)}"]
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
            f"question {question.form.value} {_quoted(question.name)}",
            *(str(number[node.number]) for node in nodes),
            f"{trigger} {limit} {int(question.anywhere)} {int(question.whatever)}",
        ]
    )


def _shown(path: str, bits: Bits, number: Mapping[int, int]) -> str:
    timer = "none" if bits.timer is None else str(bits.timer)
    nodes = [str(number[node.number]) for node in bits.nodes]
    return " ".join([f"shown {_quoted(path)} {bits.low} {timer}", *nodes])


# --- reading --------------------------------------------------------------------------------------


def read(text: str, design: Design) -> System:
    """Return the system that a text of `dump` tells of; the claims are those of the design.

    Raises:
        UnreadableError: the text is cut short or no such text, or does not fit the design.
    """
    reader = _Reader()
    reader.take(text)
    if reader.ends != ["end"] or reader.name != design.name:
        raise UnreadableError(f"the text is not all of a system of {design.name}")
    claims = {claim.name: claim for claim in design.claims}
    try:
        return System(
            design=design,
            pool=reader.pool,
            choices=tuple(reader.choices),
            registers=tuple(reader.registers),
            clocks=tuple(reader.clocks),
            allowed=reader.named["allowed"],
            domain=reader.named["domain"],
            questions=tuple(reader.question(words, claims) for words in reader.questions),
            shown=reader.shown,
        )
    except (KeyError, ValueError, IndexError) as error:
        raise UnreadableError(f"the text does not fit the design: {error}") from error


def read_node(pool: Pool, text: str) -> Node:
    """Return the expression that a text of `dump_node` tells of, in a pool of the same system.

    Raises:
        UnreadableError: the text is cut short or no such text.
    """
    reader = _Reader(pool)
    reader.take(text)
    if "root" not in reader.named:
        raise UnreadableError("the text ends before its root")
    return reader.named["root"]


@dataclass(slots=True)
class _Reader:
    pool: Pool = field(default_factory=Pool)
    name: str = ""
    nodes: list[Node] = field(default_factory=list)
    choices: list[Choice] = field(default_factory=list)
    registers: list[Register] = field(default_factory=list)
    clocks: list[Clock] = field(default_factory=list)
    named: dict[str, Node] = field(default_factory=dict)
    questions: list[list[str]] = field(default_factory=list)
    shown: dict[str, Bits] = field(default_factory=dict)
    ends: list[str] = field(default_factory=list)

    def take(self, text: str) -> None:
        """Read all lines."""
        self.nodes = [self.pool.no, self.pool.yes]
        for number, line in enumerate(text.splitlines(), start=1):
            words = TOKEN.findall(line)
            try:
                self._line(words)
            except (IndexError, ValueError) as error:
                raise UnreadableError(f"line {number} cannot be read: {line}") from error

    def _line(self, words: list[str]) -> None:
        match words:
            case ["system", name]:
                self.name = json.loads(name)
            case ["choice", kind, name, *options]:
                names = tuple(json.loads(option) for option in options)
                self.choices.append(Choice(json.loads(name), names, kind == "press"))
            case ["node", op, *numbers]:
                self._node(Op(op), tuple(map(int, numbers)))
            case ["register", kind, start, next_, name]:
                next_node = self._at(next_)
                self.registers.append(
                    Register(json.loads(name), start == "1", next_node, kind == "kept")
                )
            case ["clock", kind, start, runs, name, *loads]:
                made = tuple(self._loads(loads))
                runs_node = self._at(runs)
                self.clocks.append(
                    Clock(json.loads(name), int(start), made, runs_node, kind == "kept")
                )
            case _:
                self._rest(words)

    def _rest(self, words: list[str]) -> None:
        match words:
            case ["allowed" | "domain" | "root" as name, node]:
                self.named[name] = self._at(node)
            case ["question", *parts]:
                self.questions.append(parts)
            case ["shown", path, low, timer, *nodes]:
                clock = None if timer == "none" else int(timer)
                bits = Bits(tuple(map(self._at, nodes)), int(low), clock)
                self.shown[json.loads(path)] = bits
            case ["end"]:
                self.ends.append("end")
            case _:
                raise ValueError("no such line")

    def _node(self, op: Op, numbers: tuple[int, ...]) -> None:
        if op in LEAVES:
            self.nodes.append(self.pool.exactly(op, (), numbers))
        else:
            args = tuple(self._at(str(number)) for number in numbers)
            self.nodes.append(self.pool.exactly(op, args))

    def _at(self, number: str) -> Node:
        place = int(number)
        if place < 0:
            raise ValueError("a number of a node is below 0")
        return self.nodes[place]

    def _loads(self, words: Sequence[str]) -> Iterator[Load]:
        if len(words) % 4:
            raise ValueError("a load is cut short")
        for start in range(0, len(words), 4):
            kind, when, low, high = islice(words, start, start + 4)
            yield Load(self._at(when), int(low), int(high), kind == "turned")

    def question(self, words: Sequence[str], claims: Mapping[str, Claim]) -> Question:
        """Return a question, with its claim."""
        form, name, bad, goal, waiting, trigger, limit, anywhere, whatever = words
        return Question(
            name=json.loads(name),
            form=Form(form),
            bad=self._at(bad),
            goal=self._at(goal),
            waiting=self._at(waiting),
            trigger=None if trigger == "none" else self._at(trigger),
            limit=None if limit == "none" else int(limit),
            anywhere=anywhere == "1",
            whatever=whatever == "1",
            claim=claims[json.loads(name)],
        )
