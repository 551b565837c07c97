"""Who depends on whom in a design: what a claim looks at, and how far from people each part is."""

from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from verifier.design.loops import walk
from verifier.design.model import (
    Above,
    Case,
    Design,
    Live,
    Net,
    Read,
    ReadPick,
    Role,
    Running,
    Sentence,
    Term,
    Timer,
)
from verifier.design.sentence import conditions

Item = Net | Timer


def read_by(term: Term) -> Iterator[Item]:
    """Yield the nets and timers that a term reads itself."""
    for one in walk(term):
        match one:
            case Live(net) | Read(net) | ReadPick(net):
                yield net
            case Above(timer) | Running(timer):
                yield timer
            case _:
                pass


@dataclass(frozen=True, slots=True)
class Graph:
    """For each net and timer what it reads: in the same tick, and for its value at the next one."""

    at_once: dict[Item, tuple[Item, ...]]
    later: dict[Item, tuple[Item, ...]]

    @classmethod
    def of(cls, design: Design) -> "Graph":
        """Read the graph off a design."""
        at_once: dict[Item, tuple[Item, ...]] = {
            net: _distinct(read_by(net.term)) for net in design.nets if net.term is not None
        }
        later: dict[Item, tuple[Item, ...]] = {
            kept.net: _distinct(item for case in kept.cases for item in _read_by_case(case))
            for kept in design.kept
        }
        for timer in design.timers:
            terms = [timer.runs, *(load.condition for load in timer.loads)]
            later[timer] = _distinct(item for term in terms for item in read_by(term))
        for walker in design.walkers:
            also = (walker.exits, walker.timer)
            later[walker.place] = _distinct((*later.get(walker.place, ()), *also))
        return cls(at_once, later)

    def behind(self, item: Item) -> tuple[Item, ...]:
        """Return all that an item reads, at once or for its next value."""
        return (*self.at_once.get(item, ()), *self.later.get(item, ()))

    def cone(self, roots: Iterable[Item]) -> set[Item]:
        """Return the roots and all that they depend on over any time."""
        found = set(roots)
        todo = list(found)
        while todo:
            for item in self.behind(todo.pop()):
                if item not in found:
                    found.add(item)
                    todo.append(item)
        return found

    def answers_at_once(self, source: Item, target: Item) -> bool:
        """Whether a target can follow a source in the same tick: no kept state lies between."""
        todo, found = [target], {target}
        while todo:
            item = todo.pop()
            if item is source:
                return True
            fresh = set(self.at_once.get(item, ())) - found
            found |= fresh
            todo.extend(fresh)
        return False

    def ahead(self) -> dict[Item, list[Item]]:
        """Return for each item those that read it."""
        found: dict[Item, list[Item]] = {}
        for item in {**self.at_once, **self.later}:
            for one in self.behind(item):
                found.setdefault(one, []).append(item)
        return found

    def distances(self, sources: Iterable[Item]) -> dict[Item, int]:
        """Return how many steps lie between the sources and each item that depends on them."""
        ahead = self.ahead()
        found = dict.fromkeys(sources, 0)
        todo = deque(found)
        while todo:
            item = todo.popleft()
            for one in ahead.get(item, ()):
                if one not in found:
                    found[one] = found[item] + 1
                    todo.append(one)
        return found


def spoken_of(sentence: Sentence) -> set[Item]:
    """Return the nets and timers that a sentence names; names of the design's own are opened."""
    found: set[Item] = set()
    todo = [item for condition in conditions(sentence) for item in read_by(condition)]
    while todo:
        item = todo.pop()
        if item in found:
            continue
        found.add(item)
        if isinstance(item, Net) and item.role is Role.LET and not item.part and item.term:
            todo.extend(read_by(item.term))
    return found


def _read_by_case(case: Case) -> Iterator[Item]:
    yield from read_by(case.condition)
    yield from read_by(case.value)


def _distinct(items: Iterable[Item]) -> tuple[Item, ...]:
    return tuple(dict.fromkeys(items))
