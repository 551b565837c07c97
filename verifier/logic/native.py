"""Terms and queries, by direct calls into the solver's library.

Building a term through z3's Python classes costs six to seven times the call of the C function
below it, and building is most of the work of a small query. So the addresses of the C functions are
taken from z3's own Python module, and terms are plain addresses here. Contexts without reference
counts are used: all terms live as long as their `Room`.

Source: the C API of z3, documented in its z3_api.h; L. de Moura, N. Bjorner, "Z3: an efficient SMT
solver", TACAS 2008.
"""

import ctypes
import importlib
from collections.abc import Callable, Iterable, Sequence
from enum import Enum
from functools import cache
from types import TracebackType
from typing import Any, NewType, NoReturn, Self

from verifier.logic.keyboard import listening

Term = NewType("Term", int)

AT = ctypes.c_void_p
WHOLE = ctypes.c_uint
INT = ctypes.c_int
_LONG = ctypes.c_int64
TEXT = ctypes.c_char_p
MOST = (1 << 32) - 1


class Result(Enum):
    """What a query came to."""

    SAT = 1
    UNSAT = -1
    UNKNOWN = 0


class SolverError(RuntimeError):
    """The solver refused a call: for want of memory, or by a fault of ours or of the installation.

    It says nothing of a design.
    """


WANT = (MemoryError, SolverError)
"""What may be raised wherever the solver is asked; it costs an answer, and is told."""


def told(want: MemoryError | SolverError) -> str:
    """Return what was wanting, in words."""
    return "no memory was left" if isinstance(want, MemoryError) else f"the solver failed: {want}"


_refused: dict[int, int] = {}
"""The first call that the solver refused in each context, by its own code; its next call would
take that back, as if nothing had happened."""


def _note(context: int, code: int) -> None:
    _refused.setdefault(context, code)


_NOTE = ctypes.CFUNCTYPE(None, AT, WHOLE)(_note)


@cache
def call(name: str, result: type | None, *arguments: type) -> Callable[..., Any]:
    """Return the C function `name` of the library that z3's Python module has loaded."""
    core = importlib.import_module("z3.z3core")
    pointer = getattr(core, name).__defaults__[0].f
    return ctypes.cast(pointer, ctypes.CFUNCTYPE(result, *arguments))


@cache
def array(size: int) -> Callable[..., Any]:
    """Return the C type of so many addresses in a row."""
    return AT * size


def load() -> None:
    """Load the solver's library now, so that forks of this process need not do it each."""
    importlib.import_module("z3.z3core")


def limit_memory(megabytes: int) -> None:
    """Let the solver take so much memory in this process; queries beyond it come to UNKNOWN."""
    put = call("Z3_global_param_set", None, TEXT, TEXT)
    put(b"memory_max_size", str(megabytes).encode())


class Room:
    """A fresh solver with terms of its own: Booleans, whole numbers, one stack of claims.

    `and_`, `or_`, `not_`, `above` fold constants, so that what is known at the start costs nothing.
    """

    def __init__(self, logic: str = "QF_LIA", seed: int = 0) -> None:
        """Make a context and a solver for `logic` ("" for the solver's own choice)."""
        config = call("Z3_mk_config", AT)()
        self._at: int = call("Z3_mk_context", AT, AT)(config)
        call("Z3_del_config", None, AT)(config)
        if not self._at:
            raise SolverError("it could not be started")
        _refused.pop(self._at, None)
        call("Z3_set_error_handler", None, AT, AT)(self._at, ctypes.cast(_NOTE, AT))
        if logic:
            symbol = call("Z3_mk_string_symbol", AT, AT, TEXT)(self._at, logic.encode())
            solver = call("Z3_mk_solver_for_logic", AT, AT, AT)(self._at, symbol)
        else:
            solver = call("Z3_mk_solver", AT, AT)(self._at)
        self._solver: int = solver or self._fail()
        call("Z3_solver_inc_ref", None, AT, AT)(self._at, self._solver)
        self._flags: int = call("Z3_mk_bool_sort", AT, AT)(self._at) or self._fail()
        self._wholes: int = call("Z3_mk_int_sort", AT, AT)(self._at) or self._fail()
        self.yes = Term(call("Z3_mk_true", AT, AT)(self._at) or self._fail())
        self.no = Term(call("Z3_mk_false", AT, AT)(self._at) or self._fail())
        self._number: dict[int, Term] = {}
        self._value: dict[Term, int] = {}
        self._opposite: dict[Term, Term] = {self.yes: self.no, self.no: self.yes}
        self._names = 0
        self._seed = seed
        self._forgetful = False
        self._bind()

    def _bind(self) -> None:
        """Look up the functions that are called most."""
        self._mk_and = call("Z3_mk_and", AT, AT, WHOLE, AT)
        self._mk_or = call("Z3_mk_or", AT, AT, WHOLE, AT)
        self._mk_add = call("Z3_mk_add", AT, AT, WHOLE, AT)
        self._mk_sub = call("Z3_mk_sub", AT, AT, WHOLE, AT)
        self._mk_not = call("Z3_mk_not", AT, AT, AT)
        self._mk_ite = call("Z3_mk_ite", AT, AT, AT, AT, AT)
        self._mk_eq = call("Z3_mk_eq", AT, AT, AT, AT)
        self._mk_le = call("Z3_mk_le", AT, AT, AT, AT)
        self._mk_gt = call("Z3_mk_gt", AT, AT, AT, AT)

    def __enter__(self) -> Self:
        """Use the room in a `with` statement."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Free the solver and all terms."""
        call("Z3_solver_dec_ref", None, AT, AT)(self._at, self._solver)
        call("Z3_del_context", None, AT)(self._at)

    # --- terms ---------------------------------------------------------------------------------

    def _fresh(self, sort: int) -> Term:
        symbol = call("Z3_mk_int_symbol", AT, AT, INT)(self._at, self._names)
        self._names += 1
        make = call("Z3_mk_const", AT, AT, AT, AT)
        return Term(make(self._at, symbol, sort) or self._fail())

    def flag(self) -> Term:
        """Return a new Boolean unknown."""
        return self._fresh(self._flags)

    def whole(self) -> Term:
        """Return a new whole-number unknown."""
        return self._fresh(self._wholes)

    def number(self, value: int) -> Term:
        """Return a fixed whole number."""
        term = self._number.get(value)
        if term is None:
            make = call("Z3_mk_int64", AT, AT, _LONG, AT)
            term = Term(make(self._at, value, self._wholes) or self._fail())
            self._number[value] = term
            self._value[term] = value
        return term

    def const(self, value: object) -> Term:
        """Return the constant for the truth of `value`."""
        return self.yes if value else self.no

    def not_(self, inner: Term) -> Term:
        """Return the negation."""
        known = self._opposite.get(inner)
        if known is None:
            known = Term(self._mk_not(self._at, inner) or self._fail())
            self._opposite[inner] = known
            self._opposite[known] = inner
        return known

    def and_(self, parts: Iterable[Term]) -> Term:
        """Return the conjunction."""
        return self._join(parts, self.yes, self.no, self._mk_and)

    def or_(self, parts: Iterable[Term]) -> Term:
        """Return the disjunction."""
        return self._join(parts, self.no, self.yes, self._mk_or)

    def _join(
        self, parts: Iterable[Term], unit: Term, zero: Term, make: Callable[..., Any]
    ) -> Term:
        kept = dict.fromkeys(parts)
        kept.pop(unit, None)
        if zero in kept:
            return zero
        if len(kept) < 2:  # noqa: PLR2004 - nothing to join
            return next(iter(kept), unit)
        return Term(make(self._at, len(kept), array(len(kept))(*kept)) or self._fail())

    def implies(self, left: Term, right: Term) -> Term:
        """Return: where `left` holds, so does `right`."""
        return self.or_((self.not_(left), right))

    def differ(self, left: Term, right: Term) -> Term:
        """Return: one of two Booleans holds and the other does not."""
        if left == right:
            return self.no
        if left in (self.yes, self.no):
            left, right = right, left
        if right == self.no:
            return left
        if right == self.yes:
            return self.not_(left)
        return self.not_(Term(self._mk_eq(self._at, left, right) or self._fail()))

    def if_(self, condition: Term, then: Term, other: Term) -> Term:
        """Return `then` where the condition holds, else `other`: both Booleans or both numbers."""
        if condition == self.yes or then == other:
            return then
        if condition == self.no:
            return other
        return Term(self._mk_ite(self._at, condition, then, other) or self._fail())

    def equal(self, left: Term, right: Term) -> Term:
        """Return: two numbers are equal."""
        if left == right:
            return self.yes
        if left in self._value and right in self._value:
            return self.no
        return Term(self._mk_eq(self._at, left, right) or self._fail())

    def at_most(self, left: Term, right: Term) -> Term:
        """Return: `left` is at most `right`."""
        if left in self._value and right in self._value:
            return self.const(self._value[left] <= self._value[right])
        return Term(self._mk_le(self._at, left, right) or self._fail())

    def above(self, left: Term, k: int) -> Term:
        """Return: `left` is more than the fixed number `k`."""
        known = self._value.get(left)
        if known is not None:
            return self.const(known > k)
        return Term(self._mk_gt(self._at, left, self.number(k)) or self._fail())

    def plus(self, left: Term, right: Term) -> Term:
        """Return the sum."""
        return self._arithmetic(left, right, self._mk_add, 1)

    def minus(self, left: Term, right: Term) -> Term:
        """Return the difference."""
        return self._arithmetic(left, right, self._mk_sub, -1)

    def _arithmetic(self, left: Term, right: Term, make: Callable[..., Any], sign: int) -> Term:
        first, second = self._value.get(left), self._value.get(right)
        if second == 0:
            return left
        if first is not None and second is not None:
            return self.number(first + sign * second)
        return Term(make(self._at, 2, array(2)(left, right)) or self._fail())

    # --- queries -------------------------------------------------------------------------------

    def claim(self, term: Term) -> None:
        """Add a Boolean that must hold from now on."""
        if term != self.yes:
            call("Z3_solver_assert", None, AT, AT, AT)(self._at, self._solver, term)

    def check(self, given: Sequence[Term] = (), *, steps: int = 0, seconds: float = 0.0) -> Result:
        """Ask whether all claims and all of `given` can hold at once.

        `steps` bounds the solver's own count of work, `seconds` the wall clock (0: no bound). After
        a query that the clock or `stop` broke off, the solver has been seen to forget claims: one
        time in a hundred, it then met what cannot be met. So from there on SAT comes as UNKNOWN.
        Raises KeyboardInterrupt if the person stops it, SolverError for a bad call.
        """
        self._raise_fault()
        self._limit(min(steps, MOST), max(1, min(int(seconds * 1000), MOST)) if seconds else 0)
        ask = call("Z3_solver_check_assumptions", INT, AT, AT, WHOLE, AT)
        before = self.steps()
        with listening(self.stop):
            result = Result(ask(self._at, self._solver, len(given), array(len(given))(*given)))
        if result is Result.UNKNOWN:
            # Whatever stood in the way, what was claimed still stands.
            _refused.pop(self._at, None)
            self._forgetful |= not 0 < steps <= self.steps() - before
        self._raise_fault()
        return Result.UNKNOWN if result is Result.SAT and self._forgetful else result

    def stop(self) -> None:
        """Stop what is being asked; to be called from another thread."""
        call("Z3_interrupt", None, AT)(self._at)

    def _limit(self, steps: int, milliseconds: int) -> None:
        settings = call("Z3_mk_params", AT, AT)(self._at) or self._fail()
        call("Z3_params_inc_ref", None, AT, AT)(self._at, settings)
        named = call("Z3_mk_string_symbol", AT, AT, TEXT)
        put = call("Z3_params_set_uint", None, AT, AT, AT, WHOLE)
        put(self._at, settings, named(self._at, b"rlimit"), steps)
        put(self._at, settings, named(self._at, b"timeout"), milliseconds or MOST)
        put(self._at, settings, named(self._at, b"random_seed"), self._seed)
        flag = call("Z3_params_set_bool", None, AT, AT, AT, ctypes.c_bool)
        flag(self._at, settings, named(self._at, b"ctrl_c"), 0)
        call("Z3_solver_set_params", None, AT, AT, AT)(self._at, self._solver, settings)
        call("Z3_params_dec_ref", None, AT, AT)(self._at, settings)

    def _raise_fault(self) -> None:
        """Raise if the solver refused any call in this room: its claims may be incomplete then."""
        if self._at in _refused:
            self._fail()

    def _fail(self) -> NoReturn:
        code = _refused.get(self._at, 0)
        text = call("Z3_get_error_msg", TEXT, AT, WHOLE)(self._at, code)
        raise SolverError(text.decode())

    def reason(self) -> str:
        """Return the solver's own words for an unknown."""
        text = call("Z3_solver_get_reason_unknown", TEXT, AT, AT)(self._at, self._solver)
        return str(text.decode())

    def steps(self) -> int:
        """Return the solver's count of work so far in this room."""
        get = call("Z3_solver_get_statistics", AT, AT, AT)
        figures = get(self._at, self._solver) or self._fail()
        call("Z3_stats_inc_ref", None, AT, AT)(self._at, figures)
        try:
            return self._figure(figures, b"rlimit count")
        finally:
            call("Z3_stats_dec_ref", None, AT, AT)(self._at, figures)

    def _figure(self, figures: int, name: bytes) -> int:
        for index in range(call("Z3_stats_size", WHOLE, AT, AT)(self._at, figures)):
            key = call("Z3_stats_get_key", TEXT, AT, AT, WHOLE)(self._at, figures, index)
            if key == name:
                get = call("Z3_stats_get_uint_value", WHOLE, AT, AT, WHOLE)
                return int(get(self._at, figures, index))
        return 0

    def core(self) -> list[Term]:
        """Return those of the given terms that the last query could not hold (after UNSAT only)."""
        found = call("Z3_solver_get_unsat_core", AT, AT, AT)(self._at, self._solver) or self._fail()
        call("Z3_ast_vector_inc_ref", None, AT, AT)(self._at, found)
        size = call("Z3_ast_vector_size", WHOLE, AT, AT)(self._at, found)
        get = call("Z3_ast_vector_get", AT, AT, AT, WHOLE)
        core = [Term(get(self._at, found, place)) for place in range(size)]
        call("Z3_ast_vector_dec_ref", None, AT, AT)(self._at, found)
        return core

    def model(self) -> "Model":
        """Return the values that the last query found (after SAT only)."""
        return Model(self._at, self._solver)


class Model:
    """Values of terms after a query that can hold; terms that do not matter get some value."""

    def __init__(self, at: int, solver: int) -> None:
        """Fetch the model of the last query."""
        self._at = at
        self._model: int = call("Z3_solver_get_model", AT, AT, AT)(at, solver)
        if not self._model:
            raise SolverError("no model")
        call("Z3_model_inc_ref", None, AT, AT)(at, self._model)
        self._eval = call("Z3_model_eval", ctypes.c_bool, AT, AT, AT, ctypes.c_bool, AT)

    def _value(self, term: Term) -> int:
        found = AT()
        self._eval(self._at, self._model, term, 1, ctypes.byref(found))
        if found.value is None:
            raise SolverError("a term has no value")
        return found.value

    def flag(self, term: Term) -> bool:
        """Return the value of a Boolean."""
        value = self._value(term)
        return bool(call("Z3_get_bool_value", INT, AT, AT)(self._at, value) == 1)

    def whole(self, term: Term) -> int:
        """Return the value of a whole number."""
        value = self._value(term)
        return int(call("Z3_get_numeral_string", TEXT, AT, AT)(self._at, value))
