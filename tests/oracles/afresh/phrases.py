"""Reads expressions, and the sentences of claims and assumptions, by the grammar as it is written.

An expression becomes a `Node`: ("number", 3), ("time", 3, "s"), ("ref", (("door", None),)),
("and", one, two), ("range", least, most) ...; a sentence ("never", P), ("while", C, sentence) ...
"""

import re

from tests.oracles.afresh.letters import Letters, Node

_COMPARED = ("=", "!=", "<", "<=", ">", ">=")
_WHERE = (("in",), ("not", "in"), ("between",), ("not", "between"))


class Phrases(Letters):
    """Reads expressions and sentences; each method takes one from the text."""

    # --- expressions, loosest first ---------------------------------------------------------------

    def value(self) -> Node:
        """Take an expression or a range."""
        return self._perhaps_range(self.expression())

    def range(self) -> Node:
        """Take a range."""
        least = self.sum()
        self.demand("..")
        return ("range", least, self.sum())

    def span(self) -> Node:
        """Take a time or a range of times."""
        return self._perhaps_range(self.sum())

    def _perhaps_range(self, least: Node) -> Node:
        return ("range", least, self.sum()) if self.takes("..") else least

    def expression(self) -> Node:
        """Take a condition, or one thing when a condition holds, else another."""
        first = self.condition()
        if not self.takes("when"):
            return first
        asked = self.condition()
        self.demand("else")
        return ("choose", asked, first, self.condition())

    def condition(self) -> Node:
        """Take what is joined by `or`, or anything tighter."""
        left = self._conjunction()
        while self.takes("or"):
            left = ("or", left, self._conjunction())
        return left

    def _conjunction(self) -> Node:
        left = self._negation()
        while self.takes("and"):
            left = ("and", left, self._negation())
        return left

    def _negation(self) -> Node:
        return ("not", self._negation()) if self.takes("not") else self._comparison()

    def _comparison(self) -> Node:
        if self.takes("someone"):
            return self._whereabouts(None)
        left = self._edge()
        if any(self.at("is", *words) for words in _WHERE):
            return self._whereabouts(left)
        if self.takes("is", "not"):
            return ("compare", "!=", left, self._edge())
        if self.takes("is"):
            return ("compare", "=", left, self._edge())
        if self.here() in _COMPARED:
            return ("compare", self.next(), left, self._edge())
        return left

    def _whereabouts(self, who: Node | None) -> Node:
        self.demand("is")
        negated = self.takes("not")
        if self.takes("in"):
            found: Node = ("in room", who, self.ref())
        else:
            self.demand("between")
            one = self.ref()
            self.demand("and")
            found = ("between", who, one, self.ref())
        return ("not", found) if negated else found

    def _edge(self) -> Node:
        inner = self.sum()
        for word in ("starts", "ends"):
            if self.takes(word):
                return (word, inner)
        return inner

    def sum(self) -> Node:
        """Take a sum, or anything tighter."""
        left = self._product()
        while self.here() in {"+", "-"}:
            left = ("binary", self.next(), left, self._product())
        return left

    def _product(self) -> Node:
        left = self._atom()
        while self.here() in {"*", "div", "mod"}:
            left = ("binary", self.next(), left, self._atom())
        return left

    def _atom(self) -> Node:
        match self.token().sort:
            case "number":
                return ("number", self.number())
            case "time":
                return ("time", *self.time())
            case _:
                return self._worded()

    def _worded(self) -> Node:
        for word in ("yes", "no"):
            if self.takes(word):
                return ("flag", word == "yes")
        if self.takes("anywhere"):
            return ("anywhere",)
        if self.takes("("):
            inner = self.expression()
            self.demand(")")
            return inner
        return self._counted() or self.ref()

    def _counted(self) -> Node | None:
        for words in (("at", "most"), ("at", "least"), ("exactly",)):
            if self.takes(*words):
                number = self.sum()
                self.demand("of")
                return ("tally", " ".join(words), number, self._items())
        for word in ("all", "any", "none", "sum"):
            if self.takes(word, "of"):
                return ("tally", word, None, self._items())
        if self.takes("count", "of", "walkers", "in"):
            return ("walkers in", self.ref())
        return None

    def _items(self) -> list[Node]:
        if not self.takes("("):
            return [self.ref()]
        found = []
        while not self.takes(")"):
            found.append(self.expression())
            self.takes(",")
        return found

    def time(self) -> tuple[int, str]:
        """Take a time: how many, and of what."""
        number, unit = re.findall(r"[0-9]+|[a-z]+", self.next())
        return int(number), unit

    def ref(self) -> Node:
        """Take a name, or a path of names."""
        steps = [self.head()]
        while self.here() == "." and self.token(1).sort == "name":
            self.next()
            steps.append(self.head())
        return ("ref", tuple(steps))

    def head(self) -> Node:
        """Take a name with its index, None where it has none."""
        name, index = self.name(), None
        if self.takes("["):
            index = self.value()
            self.demand("]")
        return (name, index)

    # --- sentences --------------------------------------------------------------------------------

    def sentence(self) -> Node:
        """Take a sentence."""
        return self._scoped() or self._opened_by_a_word() or self._opened_by_a_condition()

    def _scoped(self) -> Node | None:
        if self.takes("from", "anywhere"):
            self.demand(":")
            return ("anywhere", self.sentence())
        for word in ("while", "after", "from"):
            if self.takes(word):
                conditions = [self.condition()]
                if word == "from":
                    self.demand("until")
                    conditions.append(self.condition())
                self.demand(":")
                return (word, *conditions, self.sentence())
        return None

    def _opened_by_a_word(self) -> Node | None:
        if self.takes("never"):
            return ("never", self.condition())
        if self.takes("always", "possible"):
            return ("always possible", self.condition(), self._within())
        if self.takes("always"):
            return ("never", ("not", self.condition()))
        if self.takes("possible"):
            found = ("possible", self.condition(), self._within())
            return (*found, self.takes("whatever", "the", "spans"))
        if self.takes("eventually"):
            return ("eventually", self.condition(), self._within())
        return None

    def _opened_by_a_condition(self) -> Node:
        what = self.condition()
        if self.takes("lasts"):
            return ("lasts", what, *self._length())
        if self.takes("returns"):
            return ("returns", what, self._within())
        if self.takes("leads", "to"):
            return ("leads to", what, self.condition(), self._within())
        if self.takes("only", "while"):
            return ("only while", what, self.condition())
        if self.takes("only", "after"):
            return ("only after", what, *self._chain())
        if self.takes("at", "most"):
            number = self.sum()
            if not self.takes("times", "in", "any"):
                self.demand("time", "in", "any")
            return ("at most", what, number, self.sum())
        self.demand("no", "sooner", "than")
        return ("no sooner", what, self.sum())

    def _length(self) -> tuple[Node | None, Node | None]:
        if self.takes("at", "least"):
            return self.sum(), None
        if self.takes("at", "most"):
            return None, self.sum()
        least = self.sum()
        return least, self.sum() if self.takes("..") else least

    def _chain(self) -> tuple[list[tuple[Node, Node | None]], Node | None]:
        """Take the links of a chain with their limits, and that of `each within`."""
        links: list[tuple[Node, Node | None]] = [(self.condition(), None)]
        while self.takes("then"):
            links.append((self.condition(), self._within()))
        return links, self.sum() if self.takes("each", "within") else None

    def _within(self) -> Node | None:
        return self.sum() if self.takes("within") else None
