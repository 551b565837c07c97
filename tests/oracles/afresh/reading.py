"""Reads a file of designs and kinds by the grammar as it is written: statements, one by one.

A statement becomes a `Node`: ("keep", head, type, start), ("wire", refs), ("claim", head,
sentence) ...; heads and types are nodes too: ("door", index), ("count", range).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tests.oracles.afresh.letters import Node
from tests.oracles.afresh.phrases import Phrases


@dataclass(frozen=True, slots=True)
class Block:
    """A design or a kind: its parameters with types and what they are by default, its lines."""

    sort: str
    name: str
    parameters: Sequence[tuple[str, Node, Node | None]]
    lines: Sequence[Node]


@dataclass(frozen=True, slots=True)
class File:
    """What a text holds; `used`: the names of the files that it uses."""

    used: Sequence[str]
    blocks: Sequence[Block]


def read(text: str) -> File:
    """Read a text.

    Raises:
        UnsureError: something in it is not known.
    """
    return _Statements(text).file()


class _Statements(Phrases):
    """Reads statements; each method takes one from the text."""

    def file(self) -> File:
        used, blocks = [], []
        while self.takes("use"):
            used.append(self.next()[1:-1])
        while self.token().sort != "end":
            blocks.append(self._block())
        return File(used, blocks)

    def _block(self) -> Block:
        if not (self.at("design") or self.at("kind")):
            raise self.lost()
        sort, name = self.next(), self.name()
        parameters = []
        if self.takes("("):
            while not self.takes(")"):
                parameters.append(self._parameter())
                self.takes(",")
        self._words()
        return Block(sort, name, parameters, self._body())

    def _parameter(self) -> tuple[str, Node, Node | None]:
        name = self.name()
        self.demand(":")
        return name, self._type(), self.value() if self.takes("=") else None

    def _type(self) -> Node:
        if self.takes("one", "of"):
            return ("choice", self._options())
        name = self.name()
        ranged = name == "count" and self.here() not in {"=", ",", ")"}
        return (name, self.range()) if ranged else (name,)

    def _options(self) -> list[str]:
        self.demand("(")
        found = []
        while not self.takes(")"):
            found.append(self.name())
            self.takes(",")
        return found

    def _words(self) -> None:
        if self.token().sort == "text":
            self.next()

    def _body(self) -> list[Node]:
        self.demand("{")
        found = []
        while not self.takes("}"):
            found.append(self._statement())
        return found

    def _statement(self) -> Node:
        known: dict[str, Callable[[], Node]] = {
            "tolerance": self._tolerance,
            "setting": self._setting,
            "let": self._let,
            "for": self._loop,
            "in": self._in,
            "out": self._out,
            "uses": self._uses,
            "keep": self._keep,
            "free": self._free,
            "rooms": self._rooms,
            "passage": self._passage,
            "walker": self._walker,
            "assume": self._assume,
            "claim": self._claim,
        }
        if self.at("tick") and self.token(1).sort == "time":
            self.next()
            return ("tick", *self.time())
        if self.takes("one", "press", "at", "a", "time"):
            return ("one press",)
        if self.takes("starving", "allowed", ":"):
            return ("starving", self._refs(","))
        if self.here() in known:
            return known[self.next()]()
        return self._of_a_name()

    def _refs(self, between: str) -> list[Node]:
        found = [self.ref()]
        while self.takes(between):
            found.append(self.ref())
        return found

    # --- statements that a word opens -------------------------------------------------------------

    def _tolerance(self) -> Node:
        found = ("tolerance", self.number())
        self.demand("%")
        return found

    def _setting(self) -> Node:
        name = self.name()
        self.demand("=")
        found = ("setting", name, self.value())
        if self.takes("tunable"):
            self.range()
        return found

    def _let(self) -> Node:
        head = self.head()
        self.demand("=")
        return ("let", head, self.expression())

    def _loop(self) -> Node:
        name = self.name()
        self.demand("in")
        return ("for", name, self.range(), self._body())

    def _in(self) -> Node:
        head = self.head()
        self.demand(":")
        sort = self.name()
        given = self.takes("optional") and self.takes("=") and self.next() == "yes"
        return ("in", head, sort, given)

    def _out(self) -> Node:
        head = self.head()
        self.demand(":")
        return ("out", head, self.name(), self.expression() if self.takes("=") else None)

    def _uses(self) -> Node:
        need = self.sum()
        self.demand("of")
        return ("uses", need, self.ref())

    def _keep(self) -> Node:
        head = self.head()
        self.demand(":")
        return ("keep", head, self._type(), self.expression() if self.takes("=") else None)

    def _free(self) -> Node:
        head = self.head()
        self.demand(":")
        return ("free", head, self._type())

    def _rooms(self) -> Node:
        found = [self.name()]
        while self.takes(","):
            found.append(self.name())
        return ("rooms", found)

    def _passage(self) -> Node:
        one = self.ref()
        both = self.takes("<->")
        if not both:
            self.demand("->")
        other = self.ref()
        asked = self.condition() if self.takes("when") else None
        return ("passage", one, other, both, asked, self.span() if self.takes("takes") else None)

    def _walker(self) -> Node:
        head = self.head()
        self.demand("starts", "in")
        return ("walker", head, self.ref())

    def _assume(self) -> Node:
        return ("assume", self.sentence())

    def _claim(self) -> Node:
        head = self.head()
        self._words()
        self.demand(":")
        return ("claim", head, self.sentence())

    # --- statements that a name opens -------------------------------------------------------------

    def _of_a_name(self) -> Node:
        ref = self.ref()
        if self.takes(":"):
            return ("part", ref[1][0], self.name(), self._arguments())
        if self.takes("->"):
            return ("wire", [ref, *self._refs("->")])
        if self.takes("when"):
            return ("drive", ref, self.condition())
        if self.takes("runs", "while"):
            return ("runs", ref, self.condition())
        for word in ("becomes", "loads"):
            if self.takes(word):
                return (word, ref, self._cases())
        raise self.lost()

    def _arguments(self) -> list[tuple[str | None, Node]]:
        found: list[tuple[str | None, Node]] = []
        if self.takes("("):
            while not self.takes(")"):
                named = self.token().sort == "name" and self.here(1) == ":"
                name = self.name() if named else None
                self.place += named
                found.append((name, self.value()))
                self.takes(",")
        return found

    def _cases(self) -> list[tuple[Node, Node | None]]:
        found = [self._case()]
        while self.takes(","):
            found.append(self._case())
        return found

    def _case(self) -> tuple[Node, Node | None]:
        value = self.condition()
        if self.takes(".."):
            value = ("range", value, self.sum())
        if not self.takes("when"):
            return value, None
        asked = self.condition()
        if self.takes("else"):
            return ("choose", asked, value, self.condition()), None
        return value, asked
