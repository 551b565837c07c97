"""Walkers: where they are, and how they go from room to room."""

from collections.abc import Sequence
from dataclasses import dataclass

from verifier.design import terms
from verifier.design.model import (
    Case,
    Choice,
    Cond,
    Free,
    Kept,
    Load,
    Net,
    Option,
    ReadPick,
    Role,
    Timer,
    Walker,
)
from verifier.source.text import Span


@dataclass(frozen=True, slots=True)
class Exit:
    """A way out of a room: to which room, when it is open, and how many ticks it takes.

    `place` is the position of its option among a walker's places where it takes longer than a tick.
    """

    start: int
    end: int
    condition: Cond
    low: int
    high: int
    place: int | None
    span: Span


def in_room(walker: Walker, room: int | None) -> Cond:
    """Say whether a walker stands in a room (None: anywhere)."""
    if room is None:
        return terms.YES
    place = ReadPick(walker.place)
    return terms.any_of(
        terms.all_of((terms.picked(place, option), arrived(walker, option)))
        for option, end in enumerate(walker.ends)
        if end == room
    )


def arrived(walker: Walker, option: int) -> Cond:
    """Say, of a walker at a place, that it is in a room: yes for rooms, else no time is left."""
    if option in rooms_of(walker):
        return terms.YES
    return terms.negate(terms.above(walker.timer, 0))


def rooms_of(walker: Walker) -> range:
    """Positions of the rooms among the places: those that lead to themselves come first."""
    rooms = 0
    while rooms < len(walker.ends) and walker.ends[rooms] == rooms:
        rooms += 1
    return range(rooms)


def between(walker: Walker, one: int | None, other: int | None) -> Cond:
    """Say whether a walker is on its way between two rooms, in either direction."""
    place = ReadPick(walker.place)
    return terms.any_of(
        terms.all_of((terms.picked(place, option), terms.above(walker.timer, 0)))
        for option in range(len(rooms_of(walker)), len(walker.ends))
        if {walker.starts[option], walker.ends[option]} == {one, other}
    )


def new_walker(name: str, rooms: Sequence[str], exits: Sequence[Exit], span: Span) -> Walker:
    """Make the nets and the timer of a walker; `step` gives the state that moves it."""
    slow = [one for one in exits if one.place is not None]
    labels = list(rooms)
    for one in slow:
        label = f"{rooms[one.start]} -> {rooms[one.end]}"
        again = sum(known.split(" (")[0] == label for known in labels)
        labels.append(f"{label} ({again + 1})" if again else label)
    leads = tuple(tuple(one.end for one in exits_of(room, exits)) for room in range(len(rooms)))
    degree = max(map(len, leads), default=0)
    options = ("stay", *(f"exit {number}" for number in range(1, degree + 1)))
    place = Net(f"{name}.place", Choice(tuple(labels)), span, Role.PLACE, "")
    timer = Timer(f"{name}.on_the_way", span, "")
    choice = Net(f"{name}.sets_out", Choice(options), span, Role.FREE, "")
    starts = (*range(len(rooms)), *(one.start for one in slow))
    ends = (*range(len(rooms)), *(one.end for one in slow))
    return Walker(name, place, timer, choice, starts, ends, leads)


def exits_of(room: int, exits: Sequence[Exit]) -> list[Exit]:
    """Return the exits of one room, in the order in which its passages are written."""
    return [one for one in exits if one.start == room]


def step(walker: Walker, start: int, exits: Sequence[Exit]) -> tuple[Kept, Free]:
    """Return the state that moves a walker, and its choice; loads its timer.

    Set out at t with a passage of n ticks: in the far room at t + n, in between from t + 1 to
    t + n - 1. The timer therefore shows n - 1 at t + 1.
    """
    cases, loads = [], []
    for room in rooms_of(walker):
        here = in_room(walker, room)
        for number, one in enumerate(exits_of(room, exits), start=1):
            goes = terms.all_of((here, terms.picked(ReadPick(walker.exits), number), one.condition))
            target = one.end if one.place is None else one.place
            cases.append(Case(Option(target), goes))
            if one.place is not None:
                loads.append(Load(goes, one.low - 1, one.high - 1, turned=False, span=one.span))
    place = ReadPick(walker.place)
    for option in range(len(rooms_of(walker)), len(walker.ends)):
        last = terms.negate(terms.above(walker.timer, 1))
        here = terms.all_of((terms.picked(place, option), last))
        cases.append(Case(Option(walker.ends[option]), here))
    walker.timer.loads = tuple(loads)
    shape = walker.exits.shape
    assert isinstance(shape, Choice)
    free = Free(walker.exits, len(shape.options), is_press=False)
    return Kept(walker.place, start, tuple(cases)), free
