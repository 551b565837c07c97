"""Rows of whole-number inequalities, and unknowns taken out of them.

Fourier-Motzkin elimination over whole numbers: two rows that bound an unknown from below and from
above make one without it. Where one of the two has a coefficient of 1 nothing is lost; else the
"dark shadow" keeps less than all, so that what is left still can be met by a whole number.

Source: W. Pugh, "The Omega test: a fast and practical integer programming algorithm for dependence
analysis", Supercomputing 1991.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import gcd

Symbol = int
Linear = Mapping[Symbol, int]
"""A sum: each symbol times its coefficient, `ONE` times the constant."""

ONE: Symbol = -1

MOST_ROWS = 3000
"""With more rows than this an elimination is given up."""


def plus(*parts: tuple[int, Linear]) -> dict[Symbol, int]:
    """Return a sum of multiples."""
    total: dict[Symbol, int] = {}
    for times, one in parts:
        for symbol, by in one.items():
            total[symbol] = total.get(symbol, 0) + times * by
    return {symbol: by for symbol, by in total.items() if by}


@dataclass(frozen=True, slots=True)
class Row:
    """`sum of terms + constant >= 0`, coefficients without a common divisor."""

    terms: tuple[tuple[Symbol, int], ...]
    constant: int

    def by(self, symbol: Symbol) -> int:
        """Return the coefficient of a symbol."""
        return next((by for one, by in self.terms if one == symbol), 0)


def row(sum_: Linear) -> Row:
    """Return `sum_ >= 0` as a row; dividing by a common divisor rounds to the tightest constant."""
    terms = sorted((symbol, by) for symbol, by in sum_.items() if symbol != ONE and by)
    divisor = gcd(*(by for _, by in terms)) or 1
    return Row(tuple((symbol, by // divisor) for symbol, by in terms), sum_.get(ONE, 0) // divisor)


def tidy(rows: Iterable[Row]) -> list[Row] | None:
    """Return the rows without those that others imply plainly; None where one can never hold."""
    tightest: dict[tuple[tuple[Symbol, int], ...], int] = {}
    for one in rows:
        if not one.terms:
            if one.constant < 0:
                return None
            continue
        known = tightest.get(one.terms)
        if known is None or one.constant < known:
            tightest[one.terms] = one.constant
    return [Row(terms, constant) for terms, constant in tightest.items()]


@dataclass(frozen=True, slots=True)
class Taken:
    """An unknown that was taken out, with the rows that bound it then."""

    unknown: Symbol
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Rest:
    """What is left of some rows once unknowns were taken out, in the order in which they were."""

    rows: tuple[Row, ...]
    taken: tuple[Taken, ...]


def without(rows: Iterable[Row], unknowns: Iterable[Symbol]) -> Rest | None:
    """Return rows over the other symbols only, none of which is met unless the unknowns can be.

    None where nothing is left, or too much came in between.
    """
    now = tidy(rows)
    left, taken = set(unknowns), []
    while left and now is not None:
        unknown = _cheapest(now, left)
        left.discard(unknown)
        bounding = [one for one in now if one.by(unknown)]
        taken.append(Taken(unknown, tuple(bounding)))
        others = [one for one in now if not one.by(unknown)]
        now = tidy([*others, *_joined(bounding, unknown)])
        if now is not None and len(now) > MOST_ROWS:
            return None
    return None if now is None else Rest(tuple(now), tuple(taken))


def _cheapest(rows: Sequence[Row], left: Iterable[Symbol]) -> Symbol:
    """Return the unknown whose taking out makes the fewest rows."""
    low, high = Counter[Symbol](), Counter[Symbol]()
    for one in rows:
        for symbol, by in one.terms:
            (low if by > 0 else high)[symbol] += 1
    return min(left, key=lambda one: (low[one] * high[one] - low[one] - high[one], one))


def _joined(rows: Sequence[Row], unknown: Symbol) -> Iterable[Row]:
    below = [one for one in rows if one.by(unknown) > 0]
    above = [one for one in rows if one.by(unknown) < 0]
    for low in below:
        p, least = low.by(unknown), _linear(low)
        for high in above:
            q, most = -high.by(unknown), _linear(high)
            joined = plus((q, least), (p, most))
            joined[ONE] = joined.get(ONE, 0) - (p - 1) * (q - 1)
            yield row(joined)


def _linear(one: Row) -> dict[Symbol, int]:
    return {**dict(one.terms), ONE: one.constant}


def value(one: Row, known: Mapping[Symbol, int]) -> int:
    """Return the sum of a row, all of whose symbols are known."""
    return one.constant + sum(by * known[symbol] for symbol, by in one.terms)


def found_again(
    taken: Sequence[Taken], known: Mapping[Symbol, int], wished: Mapping[Symbol, int]
) -> dict[Symbol, int] | None:
    """Return values for the unknowns, as near to the wished ones as the rows let them.

    None where there are none, which only happens where `known` does not meet what was left.
    """
    values = dict(known)
    for one in reversed(taken):
        low: int | None = None
        high: int | None = None
        for bound in one.rows:
            by = bound.by(one.unknown)
            rest = bound.constant + sum(
                times * values[symbol] for symbol, times in bound.terms if symbol != one.unknown
            )
            if by > 0:
                least = -(rest // by)
                low = least if low is None else max(low, least)
            else:
                most = rest // -by
                high = most if high is None else min(high, most)
        if low is not None and high is not None and low > high:
            return None
        wish = wished.get(one.unknown, 0)
        if low is not None:
            wish = max(low, wish)
        values[one.unknown] = wish if high is None else min(high, wish)
    return values
