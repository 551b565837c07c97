"""Which settings of some dials are still open, once regions of them are ruled out.

Linear arithmetic over whole numbers (QF_LIA). The same query can be put to z3 in a fresh room and,
where it is installed, to a second solver.
"""

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from types import TracebackType
from typing import Self

from verifier.logic import second
from verifier.logic.native import WANT, Result, Room, Term, told
from verifier.logic.terms import Terms

SECONDS = 20.0
"""What one query may take; they mostly take milliseconds."""

Symbol = int


@dataclass(frozen=True, slots=True)
class Widened:
    """A whole number that a symbol beside the dials stands for: a sum of dials, then a percentage.

    `base` plus each dial by its share, taken `percent` times, divided by 100 and rounded down, or
    up; never below `least`.
    """

    base: int
    by: tuple[int, ...]
    percent: int
    up: bool
    least: int


@dataclass(frozen=True, slots=True)
class Ruled:
    """A region that is ruled out: dials within a box that meet all rows `sum + constant >= 0`.

    It counts only where the claim `name` is asked for ("" counts always).
    """

    name: str
    low: tuple[int, ...]
    high: tuple[int, ...]
    rows: tuple[tuple[tuple[tuple[Symbol, int], ...], int], ...]
    widened: Mapping[Symbol, Widened] = field(default_factory=dict)


@dataclass(slots=True, eq=False)
class Openings:
    """A room with dials, from `low` to `high` each, and all that was ruled out so far."""

    low: Sequence[int]
    high: Sequence[int]
    _room: Room = field(init=False)
    _script: "_Script" = field(init=False)
    _lacks: str = ""

    def __post_init__(self) -> None:
        """Make the dials."""
        self._room = Room()
        self._script = _Script(self._room, self.low, self.high)

    def __enter__(self) -> Self:
        """Use it in a `with` statement."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Free the solver."""
        self._room.__exit__(kind, error, trace)

    def rule_out(self, one: Ruled) -> None:
        """Rule a region out."""
        try:
            self._script.rule_out(one)
        except WANT as want:
            # What was ruled out would be open again: from now on it cannot tell.
            self._lacks = told(want)

    def find(
        self,
        names: Iterable[str],
        limits: Sequence[tuple[Mapping[int, int], int]] = (),
        near: tuple[Sequence[int], Sequence[int], int] | None = None,
    ) -> tuple[int, ...] | None:
        """Return a setting that is open for the claims of these names, None where there is none.

        `limits` are sums of dials and what each may be at most. `near`: a place, the weight of a
        step of each dial away from it, and what all steps may weigh at most, each dial that is
        moved at all counting one more.

        Raises:
            TimeoutError: the solver cannot tell, for want of time or of memory.
        """
        if self._lacks:
            raise TimeoutError(self._lacks)
        try:
            return self._found(names, limits, near)
        except WANT as want:
            raise TimeoutError(told(want)) from want

    def _found(
        self,
        names: Iterable[str],
        limits: Sequence[tuple[Mapping[int, int], int]],
        near: tuple[Sequence[int], Sequence[int], int] | None,
    ) -> tuple[int, ...] | None:
        script, room = self._script, self._room
        given = [script.switch(name) for name in names]
        for sum_, most in limits:
            given.append(room.at_most(script.sum(sum_), room.number(most)))
        if near is not None:
            place, weights, most = near
            given.append(room.at_most(script.away(place, weights), room.number(most)))
        match room.check(given, seconds=SECONDS):
            case Result.SAT:
                model = room.model()
                return tuple(model.whole(dial) for dial in script.dials)
            case Result.UNSAT:
                return None
            case _:
                raise TimeoutError("the solver could not tell whether a setting is left")


def none_open(
    low: Sequence[int], high: Sequence[int], ruled: Sequence[Ruled], names: Sequence[str]
) -> tuple[str, ...]:
    """Return the solvers that find, each anew, that no setting is open for these claims."""

    def build(terms: Terms) -> None:
        script = _Script(terms, low, high)
        for one in ruled:
            if one.name in ("", *names):
                script.rule_out(one)
        for name in names:
            terms.claim(script.switch(name))

    found = []
    with suppress(*WANT), Room() as room:
        build(room)
        if room.check(seconds=SECONDS) is Result.UNSAT:
            found.append("z3")
    if second.ask(build, SECONDS) is Result.UNSAT:
        found.append(second.NAME)
    return tuple(found)


class _Script:
    """Dials and ruled out regions as terms of some solver."""

    def __init__(self, terms: Terms, low: Sequence[int], high: Sequence[int]) -> None:
        """Make the dials, each within its range."""
        self.terms = terms
        self.dials = [terms.whole() for _ in low]
        self._switches: dict[str, Term] = {"": terms.yes}
        self._widened: dict[Widened, Term] = {}
        self._steps: dict[tuple[int, int, int], Term] = {}
        for dial, least, most in zip(self.dials, low, high, strict=True):
            terms.claim(self._within(dial, least, most))

    def switch(self, name: str) -> Term:
        """Return what is live where a claim is asked for."""
        if name not in self._switches:
            self._switches[name] = self.terms.flag()
        return self._switches[name]

    def rule_out(self, one: Ruled) -> None:
        """Claim that no setting lies in a region, where its claim is asked for."""
        terms = self.terms
        inside = [
            self._within(dial, low, high)
            for dial, low, high in zip(self.dials, one.low, one.high, strict=True)
        ]
        for parts, constant in one.rows:
            inside.append(self._at_least_nothing(parts, constant, one.widened))
        region = terms.and_(inside)
        terms.claim(terms.or_((terms.not_(self.switch(one.name)), terms.not_(region))))

    def sum(self, by: Mapping[int, int]) -> Term:
        """Return a sum of dials."""
        return self._total([(self.dials[dial], times) for dial, times in by.items()], 0)

    def away(self, place: Sequence[int], weights: Sequence[int]) -> Term:
        """Return the weight of all steps away from a place, and one more for each dial moved."""
        terms, total = self.terms, self.terms.number(0)
        for number, (stands, weight) in enumerate(zip(place, weights, strict=True)):
            key = number, stands, weight
            if key not in self._steps:
                dial, here = self.dials[number], terms.number(stands)
                above, below = terms.minus(dial, here), terms.minus(here, dial)
                steps = terms.if_(terms.at_most(here, dial), above, below)
                cost = terms.plus(self._times(steps, weight), terms.number(1))
                self._steps[key] = terms.if_(terms.equal(dial, here), terms.number(0), cost)
            total = terms.plus(total, self._steps[key])
        return total

    def _within(self, dial: Term, low: int, high: int) -> Term:
        terms = self.terms
        least, most = terms.number(low), terms.number(high)
        return terms.and_((terms.at_most(least, dial), terms.at_most(dial, most)))

    def _at_least_nothing(
        self,
        parts: Sequence[tuple[Symbol, int]],
        constant: int,
        widened: Mapping[Symbol, Widened],
    ) -> Term:
        known = [
            (self._widen(widened[symbol]) if symbol in widened else self.dials[symbol], by)
            for symbol, by in parts
        ]
        # What is taken away goes to the other side, so that all sums are of positive parts.
        more = self._total([(term, by) for term, by in known if by > 0], max(constant, 0))
        less = self._total([(term, -by) for term, by in known if by < 0], max(-constant, 0))
        return self.terms.at_most(less, more)

    def _widen(self, one: Widened) -> Term:
        """Return the number, a new unknown held between two bounds."""
        if one not in self._widened:
            terms = self.terms
            parts = [(dial, by * one.percent) for dial, by in zip(self.dials, one.by, strict=True)]
            whole = self._total([part for part in parts if part[1]], one.base * one.percent)
            rounded = terms.whole()
            hundred = self._times(rounded, 100)
            low, high = (hundred, whole) if not one.up else (whole, hundred)
            terms.claim(terms.at_most(low, high))
            terms.claim(terms.at_most(high, terms.plus(low, terms.number(99))))
            least = terms.number(one.least)
            self._widened[one] = terms.if_(terms.at_most(least, rounded), rounded, least)
        return self._widened[one]

    def _total(self, parts: Sequence[tuple[Term, int]], constant: int) -> Term:
        total = self.terms.number(constant)
        for term, times in parts:
            total = self.terms.plus(total, self._times(term, times))
        return total

    def _times(self, term: Term, times: int) -> Term:
        """Return a multiple, by doubling: the solvers' terms have sums only."""
        if times < 0:
            return self.terms.minus(self.terms.number(0), self._times(term, -times))
        total, power = self.terms.number(0), term
        while times:
            if times & 1:
                total = self.terms.plus(total, power)
            times >>= 1
            if times:
                power = self.terms.plus(power, power)
        return total
