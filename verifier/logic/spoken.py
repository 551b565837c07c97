"""From formulas of the solver back to expressions over registers and clocks.

Read are Booleans, and comparisons of one clock with a number or of two clocks with each other.
Sums of clocks have no expression of ours.
"""

import importlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from math import ceil, floor
from typing import Any

from verifier.logic.native import AT, INT, TEXT, WHOLE, call
from verifier.system.expr import Node, Pool
from verifier.system.model import Cone

_NUMERAL, _APPLIED, _VARIABLE, _QUANTIFIER = range(4)
"""Kinds of formulas, as z3_api.h counts them."""

Sum = dict[int, Fraction]
"""Numbers by which clocks are taken, by index; those without a clock stand under -1."""

_ALONE = -1


class UnspokenError(Exception):
    """A formula says something that no expression of ours does."""


@cache
def _kind(name: str) -> int:
    """Return the number of an operator, from the solver's own list of names."""
    return int(getattr(importlib.import_module("z3.z3consts"), f"Z3_OP_{name}"))


@dataclass(slots=True, eq=False)
class Reader:
    """Reads formulas of one context whose variables are the registers and clocks of a cone."""

    at: int
    cone: Cone
    _known: dict[int, Node] = field(default_factory=dict)

    @property
    def _pool(self) -> Pool:
        return self.cone.system.pool

    def relation(self, answer: int, relation: int) -> Node:
        """Return what an answer says of a relation over the state. Raises UnspokenError."""
        for part in (answer, *self._args(answer)):
            if self._sort(part) == _QUANTIFIER:
                body = self._get("Z3_get_quantifier_body", part)
                if self._is(body, "EQ"):
                    applied, formula = self._args(body)
                    if self._get("Z3_get_app_decl", applied) == relation:
                        return self.node(formula)
        raise UnspokenError("the answer does not define the states that runs come to")

    # --- the solver's side -----------------------------------------------------------------------

    def _get(self, name: str, *terms: int, result: type = AT) -> Any:  # noqa: ANN401 - by name
        return call(name, result, AT, *(AT for _ in terms))(self.at, *terms)

    def _sort(self, term: int) -> int:
        return int(self._get("Z3_get_ast_kind", term, result=INT))

    def _args(self, term: int) -> list[int]:
        if self._sort(term) != _APPLIED:
            return []
        count = self._get("Z3_get_app_num_args", term, result=WHOLE)
        arg = call("Z3_get_app_arg", AT, AT, AT, WHOLE)
        return [arg(self.at, term, place) for place in range(count)]

    def _is(self, term: int, *names: str) -> bool:
        if self._sort(term) != _APPLIED:
            return False
        kind = self._get("Z3_get_decl_kind", self._get("Z3_get_app_decl", term), result=INT)
        return any(kind == _kind(name) for name in names)

    def _place(self, variable: int) -> int:
        """Return the place of a bound variable: the last one bound counts as 0 in the solver."""
        count = len(self.cone.registers) + len(self.cone.clocks)
        return count - 1 - int(self._get("Z3_get_index_value", variable, result=WHOLE))

    # --- Booleans ---------------------------------------------------------------------------------

    def node(self, term: int) -> Node:
        """Return a Boolean formula as an expression. Raises UnspokenError."""
        node = self._known.get(term)
        if node is None:
            node = self._known[term] = self._read(term)
        return node

    def _read(self, term: int) -> Node:
        pool = self._pool
        if self._sort(term) == _VARIABLE:
            return pool.register(self.cone.registers[self._place(term)])
        if self._is(term, "LE", "GE", "LT", "GT"):
            return self._comparison(term)
        args = self._args(term)
        if self._is(term, "EQ") and not self._boolean(args[0]):
            low, high = self._sum(args[0]), self._sum(args[1])
            return pool.and_(self._at_most(low, high), self._at_most(high, low))
        for name, make in self._makers():
            if self._is(term, name):
                return make(*(self.node(arg) for arg in args))
        raise UnspokenError(self._words(term))

    def _makers(self) -> Sequence[tuple[str, Callable[..., Node]]]:
        pool = self._pool
        return (
            ("TRUE", lambda: pool.yes),
            ("FALSE", lambda: pool.no),
            ("NOT", pool.not_),
            ("AND", pool.and_),
            ("OR", pool.or_),
            ("ITE", pool.if_),
            ("IMPLIES", lambda one, two: pool.or_(pool.not_(one), two)),
            ("EQ", lambda one, two: pool.if_(one, two, pool.not_(two))),
            ("XOR", lambda one, two: pool.if_(one, pool.not_(two), two)),
        )

    def _boolean(self, term: int) -> bool:
        sort = self._get("Z3_get_sort", term)
        return bool(self._get("Z3_get_sort_kind", sort, result=INT) == 1)

    def _words(self, term: int) -> str:
        text = self._get("Z3_ast_to_string", term, result=TEXT).decode()
        return " ".join(text.split())

    # --- numbers ----------------------------------------------------------------------------------

    def _comparison(self, term: int) -> Node:
        left, right = (self._sum(arg) for arg in self._args(term))
        if self._is(term, "LE"):
            return self._at_most(left, right)
        if self._is(term, "GE"):
            return self._at_most(right, left)
        if self._is(term, "GT"):
            return self._pool.not_(self._at_most(left, right))
        return self._pool.not_(self._at_most(right, left))

    def _at_most(self, left: Mapping[int, Fraction], right: Mapping[int, Fraction]) -> Node:
        """Return: one sum is at most another."""
        pool = self._pool
        total = _added([left, {index: -times for index, times in right.items()}])
        bound = -total.pop(_ALONE, Fraction(0))
        match sorted(total.items(), key=lambda item: -item[1]):
            case []:
                return pool.const(bound >= 0)
            case [(clock, times)] if times > 0:
                most = floor(bound / times)
                return pool.not_(pool.above(clock, most))
            case [(clock, times)]:
                return pool.above(clock, ceil(bound / times) - 1)
            case [(one, times), (other, taken)] if times == -taken:
                return pool.gap(one, other, floor(bound / times))
            case _:
                raise UnspokenError("sums of clocks")

    def _sum(self, term: int) -> Sum:
        if self._sort(term) == _VARIABLE:
            place = self._place(term) - len(self.cone.registers)
            return {self.cone.clocks[place]: Fraction(1)}
        if self._sort(term) == _NUMERAL:
            return {
                _ALONE: Fraction(self._get("Z3_get_numeral_string", term, result=TEXT).decode())
            }
        args = [self._sum(arg) for arg in self._args(term)]
        if self._is(term, "ADD"):
            return _added(args)
        if self._is(term, "SUB"):
            return _added([args[0], *(_times(arg, Fraction(-1)) for arg in args[1:])])
        if self._is(term, "UMINUS"):
            return _times(args[0], Fraction(-1))
        if self._is(term, "MUL") and len(args) == 2:  # noqa: PLR2004 - a number and a term
            for one, other in (args, args[::-1]):
                if one.keys() <= {_ALONE}:
                    return _times(other, one.get(_ALONE, Fraction(0)))
        raise UnspokenError(self._words(term))


def _times(total: Mapping[int, Fraction], by: Fraction) -> Sum:
    return {index: times * by for index, times in total.items()}


def _added(totals: Sequence[Mapping[int, Fraction]]) -> Sum:
    found: Sum = {}
    for total in totals:
        for index, times in total.items():
            found[index] = found.get(index, Fraction(0)) + times
    return {index: times for index, times in found.items() if times}
