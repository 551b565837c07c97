"""A second opinion: a query written as SMT-LIB 2.6 and asked of cvc5, where it is installed.

The text is written by our own few lines, not by z3, and nothing is folded on the way: the two
solvers share the question and nothing else.

Sources: C. Barrett, P. Fontaine, C. Tinelli, "The SMT-LIB Standard: Version 2.6", 2017, logic
QF_LIA; H. Barbosa et al., "cvc5: A Versatile and Industrial-Strength SMT Solver", TACAS 2022.
"""

from collections.abc import Callable, Iterable
from contextlib import suppress
from functools import cache
from importlib.util import find_spec

from verifier.logic.native import WANT, Result, SolverError, Term
from verifier.logic.terms import Terms

NAME = "cvc5"


@cache
def installed() -> bool:
    """Whether there is anyone to ask."""
    return find_spec(NAME) is not None


class Script:
    """Terms as lines of text, each with a name of its own, so that what is shared stays shared."""

    def __init__(self) -> None:
        """Begin with nothing but true and false."""
        self._lines = ["(set-logic QF_LIA)"]
        self._names: list[str] = ["false", "true"]
        self._sorts: list[str] = ["Bool", "Bool"]
        self._known: dict[str, Term] = {"false": Term(0), "true": Term(1)}
        self.no, self.yes = Term(0), Term(1)

    def text(self) -> str:
        """Return the whole query."""
        return "\n".join([*self._lines, "(check-sat)", ""])

    def _new(self, name: str, sort: str) -> Term:
        self._names.append(name)
        self._sorts.append(sort)
        return Term(len(self._names) - 1)

    def _unknown(self, sort: str) -> Term:
        name = f"x{len(self._names)}"
        self._lines.append(f"(declare-const {name} {sort})")
        return self._new(name, sort)

    def _made(self, sort: str, word: str, *parts: Term) -> Term:
        text = f"({word} {' '.join(self._names[part] for part in parts)})"
        known = self._known.get(text)
        if known is None:
            name = f"t{len(self._names)}"
            self._lines.append(f"(define-fun {name} () {sort} {text})")
            known = self._known[text] = self._new(name, sort)
        return known

    def flag(self) -> Term:
        """Return a new Boolean unknown."""
        return self._unknown("Bool")

    def whole(self) -> Term:
        """Return a new whole-number unknown."""
        return self._unknown("Int")

    def number(self, value: int) -> Term:
        """Return a fixed whole number."""
        text = str(value) if value >= 0 else f"(- {-value})"
        known = self._known.get(text)
        if known is None:
            known = self._known[text] = self._new(text, "Int")
        return known

    def const(self, value: object) -> Term:
        """Return the constant for the truth of `value`."""
        return self.yes if value else self.no

    def not_(self, inner: Term) -> Term:
        """Return the negation."""
        return self._made("Bool", "not", inner)

    def and_(self, parts: Iterable[Term]) -> Term:
        """Return the conjunction."""
        return self._joined("and", list(parts), self.yes)

    def or_(self, parts: Iterable[Term]) -> Term:
        """Return the disjunction."""
        return self._joined("or", list(parts), self.no)

    def _joined(self, word: str, parts: list[Term], nothing: Term) -> Term:
        match parts:
            case []:
                return nothing
            case [one]:
                return one
            case _:
                return self._made("Bool", word, *parts)

    def implies(self, left: Term, right: Term) -> Term:
        """Return: where `left` holds, so does `right`."""
        return self._made("Bool", "=>", left, right)

    def differ(self, left: Term, right: Term) -> Term:
        """Return: one of two Booleans holds and the other does not."""
        return self._made("Bool", "xor", left, right)

    def if_(self, condition: Term, then: Term, other: Term) -> Term:
        """Return `then` where the condition holds, else `other`."""
        return self._made(self._sorts[then], "ite", condition, then, other)

    def equal(self, left: Term, right: Term) -> Term:
        """Return: two numbers are equal."""
        return self._made("Bool", "=", left, right)

    def at_most(self, left: Term, right: Term) -> Term:
        """Return: `left` is at most `right`."""
        return self._made("Bool", "<=", left, right)

    def above(self, left: Term, k: int) -> Term:
        """Return: `left` is more than the fixed number `k`."""
        return self._made("Bool", ">", left, self.number(k))

    def plus(self, left: Term, right: Term) -> Term:
        """Return the sum."""
        return self._made("Int", "+", left, right)

    def minus(self, left: Term, right: Term) -> Term:
        """Return the difference."""
        return self._made("Int", "-", left, right)

    def claim(self, term: Term) -> None:
        """Add a Boolean that must hold."""
        self._lines.append(f"(assert {self._names[term]})")


def ask(build: Callable[[Terms], None], seconds: float) -> Result:
    """Return what the second solver says of a query; UNKNOWN where it is not there or too slow.

    Where it fails it is not there: then nobody is told that it agreed.
    """
    if not installed():
        return Result.UNKNOWN
    script = Script()
    build(script)
    with suppress(ImportError, *WANT):
        return answer(script.text(), seconds)
    return Result.UNKNOWN


def answer(text: str, seconds: float) -> Result:
    """Return what cvc5 says of a script of SMT-LIB that ends in its one `check-sat`.

    Raises:
        SolverError: it cannot read the text.
    """
    import cvc5

    solver = cvc5.Solver(cvc5.TermManager())
    solver.setOption("tlimit-per", str(max(1, int(seconds * 1000))))
    parser = cvc5.InputParser(solver)
    parser.setStringInput(cvc5.InputLanguage.SMT_LIB_2_6, text, "query")
    symbols = parser.getSymbolManager()
    said = ""
    try:
        while not (command := parser.nextCommand()).isNull():
            said = command.invoke(solver, symbols).strip() or said
    except RuntimeError as error:
        raise SolverError(f"{NAME} cannot read a query: {error}") from error
    match said:
        case "unsat":
            return Result.UNSAT
        case "sat":
            return Result.SAT
        case "unknown":
            return Result.UNKNOWN
        case _:
            raise SolverError(f"{NAME} said {said!r}")
