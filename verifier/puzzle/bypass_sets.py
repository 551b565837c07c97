"""The smallest sets of dispensable elements that a route must draw on, beside what is needed.

A tree over what is ruled out (R. Reiter 1987, with the correction of R. Greiner, B. Smith and R.
Wilkerson 1989): a set that does is made smallest by ruling out one more of its elements at a time;
any other such set lacks one of its elements, so a branch for each rules that one out.
"""

from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from verifier.engines.contract import Budget
from verifier.puzzle.bypass_ask import Asker, without
from verifier.puzzle.bypass_elements import Element, first_uses
from verifier.puzzle.route import Route
from verifier.verdict.evidence import Stopped

MOST_ASKED = 150
EFFORT = 4
"""Questions that are asked for the sets at the most, and for how many of them the effort lasts."""

Set = frozenset[Element]


@dataclass(frozen=True, slots=True)
class Sets:
    """Each set is enough, and none of its elements can be spared; `complete`: there is no other."""

    found: tuple[tuple[Element, ...], ...]
    complete: bool


def smallest_sets(
    asker: Asker, free: Sequence[Element], known: Sequence[Mapping[Element, int]]
) -> Sets | None:
    """Return the sets; None where everything is needed."""
    if not free:
        return None
    return _Tree(asker, tuple(free), known, asker.budget(EFFORT)).grow()


@dataclass(slots=True, eq=False)
class _Tree:
    """`left` is how many questions may still be asked."""

    asker: Asker
    free: tuple[Element, ...]
    known: Sequence[Mapping[Element, int]]
    budget: Budget
    left: int = MOST_ASKED
    found: list[Set] = field(default_factory=list)
    answers: dict[Set, Set | None] = field(default_factory=dict)

    def grow(self) -> Sets:
        edge: deque[Set] = deque([frozenset()])
        seen: set[Set] = {frozenset()}
        try:
            while edge:
                barred = edge.popleft()
                enough = self._known(barred)
                if enough is None:
                    continue
                for element in enough:
                    wider = barred | {element}
                    if wider not in seen:
                        seen.add(wider)
                        edge.append(wider)
        except _EnoughError:
            return self._sets(whole=False)
        return self._sets(whole=True)

    def _sets(self, *, whole: bool) -> Sets:
        place = {element: number for number, element in enumerate(self.free)}
        rows = [tuple(sorted(one, key=place.__getitem__)) for one in self.found]
        return Sets(tuple(sorted(rows, key=lambda row: (len(row), [place[e] for e in row]))), whole)

    def _known(self, barred: Set) -> Set | None:
        """Return a smallest set that spares what is barred; None if there is none."""
        for one in self.found:
            if not one & barred:
                return one
        enough = self._used_without(barred)
        if enough is None:
            return None
        for element in self.free:
            if element in enough:
                fewer = self._used_without(frozenset(self.free) - enough | {element})
                enough = enough if fewer is None else fewer
        self.found.append(enough)
        return enough

    def _used_without(self, barred: Set) -> Set | None:
        """Return what a route that spares the barred uses; None if there is no such route."""
        for first in self.known:
            if not barred & first.keys():
                return frozenset(self.free) & first.keys()
        if barred not in self.answers:
            self.answers[barred] = self._asked(barred)
        return self.answers[barred]

    def _asked(self, barred: Set) -> Set | None:
        if not self.left or self.budget.spent():
            raise _EnoughError
        self.left -= 1
        nodes = [element.used for element in self.free if element in barred]
        tried = self.asker.tried(without(self.asker.goal, nodes), self.budget)
        match tried:
            case Route():
                return frozenset(first_uses(self.asker.goal.system, self.free, tried.trace))
            case Stopped():
                raise _EnoughError
            case _:
                return None


class _EnoughError(Exception):
    """The questions that may be asked are used up, or one was too hard."""
