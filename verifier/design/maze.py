"""Rooms, passages and walkers of a design: who can go where, in which order it is worked out."""

from dataclasses import dataclass, replace

from verifier.design import express, terms, wording
from verifier.design.coerce import tick_count
from verifier.design.express import Site
from verifier.design.model import Free, Kept, Walker
from verifier.design.people import Exit, new_walker, step
from verifier.design.scope import Mistake, Scope, WalkerEntry, telling
from verifier.syntax import tree

MOST_WAYS = 200_000
"""No more than this: walkers, times the square of rooms and exits together (`too-many`), since from
each place of each walker it has to be said how it comes to each other one."""


@dataclass(frozen=True, slots=True)
class Maze:
    """All exits, with the condition each still has to be given, and where walkers start."""

    exits: tuple[Exit, ...]
    conditions: tuple[tuple[tree.Expression, Site] | None, ...]
    walkers: tuple[tuple[Walker, int], ...]


def lay_out(scope: Scope) -> Maze:
    """Make the walkers, so that conditions may speak of them; passages get theirs later."""
    exits: list[Exit] = []
    conditions: list[tuple[tree.Expression, Site] | None] = []
    collector = scope.whole.collector

    def passage(node: tree.Passage, site: Site) -> None:
        start, end = _room(node.start, site), _room(node.end, site)
        low, high = _takes(node, site)
        condition = None if node.condition is None else (node.condition, site)
        ways = [(start, end), (end, start)] if node.both_ways else [(start, end)]
        for from_, to in ways:
            exits.append(Exit(from_, to, terms.YES, low, high, None, node.span))
            conditions.append(condition)

    for placed in scope.statements:
        if isinstance(placed.statement, tree.Passage):
            node, site = placed.statement, Site(scope, placed.env)
            with telling(collector):
                passage(node, site)
    numbered = _numbered(exits, len(scope.whole.rooms))
    return Maze(numbered, tuple(conditions), _walkers(scope, numbered))


def _numbered(exits: list[Exit], rooms: int) -> tuple[Exit, ...]:
    """Give each slow exit its place, after the rooms."""
    numbered, place = [], rooms
    for one in exits:
        if one.high > 1:
            numbered.append(replace(one, place=place))
            place += 1
        else:
            numbered.append(one)
    return tuple(numbered)


def _walkers(scope: Scope, exits: tuple[Exit, ...]) -> tuple[tuple[Walker, int], ...]:
    rooms = [one.name for one in scope.whole.rooms]
    found: list[tuple[Walker, int]] = []

    def walker(entry: WalkerEntry) -> None:
        if (len(found) + 1) * (len(rooms) + len(exits)) ** 2 > MOST_WAYS:
            raise Mistake(wording.too_many_ways(entry.span))
        start = _room(entry.room, Site(scope, entry.env))
        entry.walker = new_walker(entry.path, rooms, exits, entry.span)
        scope.whole.walkers.append(entry.walker)
        found.append((entry.walker, start))

    for entry in scope.entries():
        if isinstance(entry, WalkerEntry):
            with telling(scope.whole.collector):
                walker(entry)
            entry.failed = entry.walker is None
    return tuple(found)


def set_going(maze: Maze, scope: Scope) -> tuple[tuple[Kept, Free], ...]:
    """Work out the conditions of passages and return the state and the choice of each walker."""
    exits = list(maze.exits)

    def open_when(number: int, node: tree.Expression, site: Site) -> None:
        exits[number] = replace(exits[number], condition=express.condition(node, site))

    for number, condition in enumerate(maze.conditions):
        if condition is not None:
            node, site = condition
            with telling(scope.whole.collector):
                open_when(number, node, site)
    return tuple(step(walker, start, exits) for walker, start in maze.walkers)


def _room(node: tree.Ref, site: Site) -> int:
    value = express.room_of(node, site)
    if value.room is None:
        raise Mistake(wording.anywhere_here(node.span))
    return value.room


def _takes(node: tree.Passage, site: Site) -> tuple[int, int]:
    if node.takes is None:
        return 1, 1
    value = express.time(node.takes, site)
    low = tick_count(value.low, value.span, site.tick)
    high = tick_count(value.high, value.span, site.tick)
    if low < 1:
        raise Mistake(wording.no_time_to_walk(node.takes.span))
    return low, high
