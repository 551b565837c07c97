"""Reads certificates back. Nothing in one is believed: the judge looks at it as at any evidence.

A text may come from anywhere, so that no line of it can do more than be refused: it is read in one
pass without recursion, numbers have at most fifteen digits, and what it says of choices, registers
and clocks has to fit the system that it is about.
"""

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath, PureWindowsPath

from verifier.system.expr import Node, Op, Pool
from verifier.system.model import System
from verifier.verdict.answer import Verdict
from verifier.verdict.certificate import FIRST, LONGEST, SHORTEST, VERSION, Head
from verifier.verdict.evidence import (
    Act,
    Asked,
    Certain,
    Circles,
    Closed,
    Evidence,
    Explored,
    Foiled,
    Guided,
    Invariant,
    Patient,
    Proof,
    Reaches,
    Trapped,
)
from verifier.verdict.trace import Lasso, State, Step, Trace

_WORD = re.compile(r'[ \t\r]*(?:("(?:[^"\\]|\\.)*"|[^ \t\r"#]+)|#.*|$)')
_WHOLE = re.compile(r"-?[0-9]{1,15}")
_HASH = re.compile(r"[0-9a-f]{64}")

# How many numbers stand behind each kind of node: those of a leaf, or its arguments (None: any).
_NUMBERS = {
    Op.PICK.value: 2,
    Op.REGISTER.value: 1,
    Op.ABOVE.value: 2,
    Op.GAP.value: 3,
    Op.NOT.value: 1,
    Op.IF.value: 3,
    Op.AND.value: None,
    Op.OR.value: None,
}
_DEEPEST = 1000
_ASKED = tuple(one.value for one in Asked if one is not Asked.TRIGGER)
_LEAVES = (Op.PICK, Op.REGISTER, Op.ABOVE, Op.GAP)


class UnreadableError(ValueError):
    """A line is none that a certificate has at this place; `line` counts from 1."""

    def __init__(self, line: int, words: str) -> None:
        """Keep the place."""
        super().__init__(words)
        self.line = line


@dataclass(frozen=True, slots=True)
class Read:
    """A certificate whose proofs are not looked at yet; `above` lines come before them."""

    head: Head
    proofs: str
    above: int


def certificate_of(text: str) -> Read:
    """Return the head of a certificate, and its proofs as they stand.

    Raises:
        UnreadableError: a line is wrong.
    """
    lines = _Lines(text)
    try:
        head = _head(lines)
    except ValueError as error:
        raise UnreadableError(lines.number, str(error)) from error
    above = lines.number
    rest = text.split("\n")[above:]
    if rest[-2:] != ["end", ""]:
        raise UnreadableError(above + len(rest), "its last line is not `end`: it was cut short")
    return Read(head, "\n".join([*rest[:-2], ""]), above)


def proofs_of(text: str, system: System, above: int = 0) -> tuple[Proof, ...]:
    """Return the proofs that a text of `proofs_text` tells of, below so many lines.

    Raises:
        UnreadableError: a line is wrong.
    """
    lines = _Lines(text, above)
    found = []
    try:
        while lines.word:
            found.append(_Reader(lines, system).proof())
    except ValueError as error:
        raise UnreadableError(lines.number, str(error)) from error
    return tuple(found)


# --- words ----------------------------------------------------------------------------------------


class _Lines:
    """Lines as words, taken one by one; those without words are passed over.

    `number` is that of the line that was taken last, or of one that has no words that can be read.
    """

    def __init__(self, text: str, above: int = 0) -> None:
        self._lines = text.split("\n")
        self._above = above
        self._at = -1
        self._words: list[str] = []
        self.number = above

    @property
    def word(self) -> str:
        """The first word of the next line; "" where there is none."""
        while not self._words and self._at + 1 < len(self._lines):
            self._at += 1
            try:
                self._words = _words(self._lines[self._at])
            except ValueError:
                self.number = self._above + self._at + 1
                raise
        return self._words[0] if self._words else ""

    def take(self, due: str) -> list[str]:
        """Return what follows the word that the next line has to begin with."""
        found = self.word
        self.number = self._above + self._at + 1
        if found != due:
            raise ValueError(f"a line `{due}` was due here")
        rest, self._words = self._words[1:], []
        return rest

    def all(self, due: str) -> Iterator[list[str]]:
        """Yield what follows the word in all lines from here on that begin with it."""
        while self.word == due:
            yield self.take(due)

    def one(self, due: str) -> str:
        """Return the one word that follows the word that the next line has to begin with."""
        rest = self.take(due)
        if len(rest) != 1:
            raise ValueError(f"one word was due after `{due}`")
        return rest[0]


def _words(line: str) -> list[str]:
    words, at = [], 0
    while at < len(line):
        found = _WORD.match(line, at)
        if found is None:
            raise ValueError("a text in quotes has no end")
        if found[1] is not None:
            words.append(found[1])
        at = found.end()
    return words


def _whole(word: str, least: int = 0) -> int:
    if not _WHOLE.fullmatch(word) or int(word) < least:
        raise ValueError(f"a whole number from {least} on, of at most 15 digits, was due")
    return int(word)


def _name(word: str) -> str:
    found = json.loads(word) if word.startswith('"') else None
    if not isinstance(found, str):
        raise ValueError("a text in quotes was due")  # noqa: TRY004 - the reader's one error
    return found


# --- head -----------------------------------------------------------------------------------------


def _head(lines: _Lines) -> Head:
    if lines.take("latchwork") != ["certificate", str(VERSION)]:
        raise ValueError(f"the first line of a certificate is `{FIRST}`")
    file, design = _name(lines.one("file")), _name(lines.one("design"))
    if PurePosixPath(file).is_absolute() or PureWindowsPath(file).is_absolute():
        raise ValueError("a path seen from the folder of the certificate was due")
    tick_ns = _whole(lines.one("tick"), 1)
    settings = tuple(_setting(words) for words in lines.all("set"))
    system = lines.one("system")
    if not _HASH.fullmatch(system):
        raise ValueError("a SHA-256 has 64 digits of 0 .. 9 and a .. f")
    claim, written = _name(lines.one("claim")), _name(lines.one("written"))
    verdict, until = _verdict(lines.take("verdict"))
    return Head(file, design, tick_ns, settings, system, claim, written, verdict, until)


def _setting(words: Sequence[str]) -> tuple[str, str]:
    match words:
        case [name, value]:
            return _name(name), _name(value)
        case _:
            raise ValueError("a name and a value were due")


def _verdict(words: Sequence[str]) -> tuple[Verdict, int | None]:
    match words:
        case [Verdict.HOLDS.value]:
            return Verdict.HOLDS, None
        case [Verdict.HOLDS.value, until]:
            return Verdict.HOLDS, _whole(until)
        case [Verdict.FAILS.value]:
            return Verdict.FAILS, None
        case _:
            raise ValueError("`holds`, `holds` with a tick, or `fails` was due")


# --- proofs ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads the proofs for one system."""

    lines: _Lines
    system: System

    def proof(self) -> Proof:
        """Read what is said of one target."""
        match self.lines.take("proof"):
            case [asked, *words] if asked in _ASKED:
                return Proof(Asked(asked), self._evidence(words))
            case _:
                raise ValueError(f"what the proof is about was due: {', '.join(_ASKED)}")

    def _evidence(self, words: Sequence[str]) -> Evidence:
        match words:
            case ["run"]:
                return Reaches(self._trace(), onward=self._onward())
            case ["circle", back_to]:
                return Circles(Lasso(self._trace(), _whole(back_to)))
            case ["jumps", jumps]:
                return Closed(None, _whole(jumps))
            case ["jumps", jumps, "until", until]:
                return Closed(_whole(until), _whole(jumps))
            case ["trap", *beyond] if len(beyond) <= 1:
                trace, onward = self._trace(), self._onward()
                inside = self._inside(self.lines.take("inside"))
                return Trapped(trace, inside, onward, _whole(beyond[0]) if beyond else None)
            case ["plan", within]:
                script = tuple(self._act(one) for one in self.lines.all("act"))
                return Guided(script, _whole(within), self._node())
            case ["certain", within]:
                return Certain(self._trace(), _whole(within), self._node())
            case ["drawn", end] if end in (LONGEST, SHORTEST):
                return Foiled(end == LONGEST, self._node())
            case ["patience", ticks]:
                return Patient(_whole(ticks), self._node())
            case _:
                return self._inside(words)

    def _inside(self, words: Sequence[str]) -> Invariant | Explored:
        match words:
            case ["invariant", ticks]:
                return Invariant(self._node(), _whole(ticks, 1))
            case ["list"]:
                return Explored(self._ranks("state"), self._ranks("dead"))
            case _:
                raise ValueError("this is no kind of proof")

    def _trace(self) -> Trace:
        start = None
        if self.lines.word == "start":
            start = self._state(self.lines.take("start"))
        return Trace(self._steps(), start)

    def _onward(self) -> Lasso | None:
        if self.lines.word != "onward":
            return None
        back_to = _whole(self.lines.one("onward"))
        return Lasso(Trace(self._steps()), back_to)

    def _steps(self) -> tuple[Step, ...]:
        return tuple(self._step(words) for words in self.lines.all("step"))

    def _step(self, words: Sequence[str]) -> Step:
        match words:
            case [ticks, *rest] if rest[self._draw :][:1] == ["draw"]:
                draws = tuple(map(_whole, rest[self._draw + 1 :]))
                if len(draws) != len(self.system.clocks):
                    raise ValueError("a number for each timer was due")
                return Step(self._chosen(rest[: self._draw]), draws, _whole(ticks, 1))
            case _:
                raise ValueError("ticks, `choose` with choices and `draw` with draws were due")

    @property
    def _draw(self) -> int:
        """The place of the word `draw` behind the word `choose` and the choices."""
        return 1 + len(self.system.choices)

    def _act(self, words: Sequence[str]) -> Act:
        match words:
            case [ticks, *rest]:
                return Act(self._chosen(rest), _whole(ticks, 1))
            case _:
                raise ValueError("ticks and `choose` with choices were due")

    def _chosen(self, words: Sequence[str]) -> tuple[int, ...]:
        if words[:1] != ["choose"] or len(words) != self._draw:
            raise ValueError("`choose` with a number for each choice was due")
        return tuple(map(_whole, words[1:]))

    def _ranks(self, word: str) -> dict[State, int]:
        found: dict[State, int] = {}
        for words in self.lines.all(word):
            rank, state = _whole("".join(words[:1])), self._state(words[1:])
            if state in found:
                raise ValueError("a state is listed twice")
            found[state] = rank
        return found

    def _state(self, words: Sequence[str]) -> State:
        bits, *shows = words or ["", ""]
        registers = "" if bits == "-" else bits
        fits = len(registers) == len(self.system.registers) and not registers.strip("01")
        if not fits or len(shows) != len(self.system.clocks):
            raise ValueError("a digit for each register and a number for each timer were due")
        return State(tuple(bit == "1" for bit in registers), tuple(map(_whole, shows)))

    def _node(self) -> Node:
        nodes = _Nodes(self.system.pool)
        for words in self.lines.all("node"):
            nodes.take(words)
        return nodes.at(self.lines.one("root"))


class _Nodes:
    """Nodes in the order in which they are numbered, and how deep each is."""

    def __init__(self, pool: Pool) -> None:
        self._pool = pool
        self._found = [pool.no, pool.yes]
        self._depth = [0, 0]

    def take(self, words: Sequence[str]) -> None:
        """Read the next node."""
        match words:
            case [own, word, *rest] if own == str(len(self._found)) and word in _NUMBERS:
                op = Op(word)
            case _:
                raise ValueError(
                    f"node {len(self._found)} was due: its number, what it is, numbers"
                )
        if _NUMBERS[word] not in (None, len(rest)):
            raise ValueError(f"{_NUMBERS[word]} numbers were due after `{word}`")
        if op in _LEAVES:
            # The last number of a comparison of two clocks may be below 0, no other one.
            *first, last = rest
            least = -(10**15) if op is Op.GAP else 0
            numbers = (*map(_whole, first), _whole(last, least))
            self._add(self._pool.exactly(op, (), numbers), 0)
        else:
            args = tuple(map(self.at, rest))
            depth = 1 + max((self._depth[int(number)] for number in rest), default=0)
            self._add(self._pool.exactly(op, args), depth)

    def _add(self, node: Node, depth: int) -> None:
        if depth > _DEEPEST:
            raise ValueError(f"nodes stand in each other more than {_DEEPEST} deep")
        self._found.append(node)
        self._depth.append(depth)

    def at(self, number: str) -> Node:
        """Return a node that was read before."""
        place = _whole(number)
        if place >= len(self._found):
            raise ValueError(f"there is no node {place} so far")
        return self._found[place]
