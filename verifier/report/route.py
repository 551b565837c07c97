"""A way through as people can follow it: numbered instructions, and how sure it is the best."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from rich.text import Text

from verifier.design.model import Choice, Number, Part
from verifier.puzzle.luck import serves_at_ends
from verifier.puzzle.moves import Made, Move
from verifier.puzzle.route import Others, Route, Routed
from verifier.puzzle.space_paths import Order
from verifier.report.clock import Clock
from verifier.report.counts import count_of
from verifier.report.diagram import diagram
from verifier.report.events import Event, Kind
from verifier.report.letters import shown, width
from verifier.report.look import BROKEN, FAINT, NOTE, STRONG, Board
from verifier.report.needs import needs
from verifier.report.paragraph import paragraph
from verifier.report.phrases import Phrases
from verifier.report.presses import moved
from verifier.report.story import Story, plain
from verifier.simulate.feet import feet_of
from verifier.simulate.variations import Variations
from verifier.system.model import System
from verifier.verdict.answer import Answer, Verdict

_GAP = "  "
_MOST_DRAWN = 4  # spans that are told
_MOST_REASONS = 2  # things that a wait is said to be for
_MOST_MOVES = 12  # told on one line; of more it is not said how exactly they must come


@dataclass(frozen=True, slots=True)
class Instruction:
    """One thing to do at a tick, or (`waits`) to wait so many ticks from there."""

    tick: int
    words: str
    waits: int = 0


class Teller:
    """Puts the moves of one system into words."""

    def __init__(self, system: System) -> None:
        """Look up who and what there is."""
        design = system.design
        self.system = system
        self.clock = Clock(design.tick_ns)
        self._feet = feet_of(system)
        self._parts: dict[str, Part] = {part.path: part for part in design.parts}
        self._nets = {free.net.path: free.net for free in design.free}
        self._moved = {net.path for net in moved(design)}

    def move(self, move: Move) -> str:
        """Return what is done: `guest goes to vault`, `press bell`, `set aboard to goat`."""
        if move.choice in self._feet:
            walker = self._feet[move.choice].walker
            return f"{walker.name} goes to {self.system.design.rooms[move.to]}"
        path = self.system.choices[move.choice].name
        net = self._nets[path]
        part = self._parts.get(net.part)
        name = part.path if part is not None else path
        match net.shape:
            case Choice(options):
                return f"set {name} to {options[move.to]}"
            case Number(low=low):
                return f"set {name} to {low + move.to}"
            case _:
                return f"{'move' if path in self._moved else 'press'} {name}"

    def made(self, made: Made, last: int) -> str:
        """Return what is done, and for how long where that is more than a tick."""
        words = self.move(made.move)
        if made.ticks == 1 or made.move.choice in self._feet:
            return words
        if made.tick + made.ticks > last:
            return f"{words} and keep it so"
        verb = "hold it" if words.startswith("press") else "leave it"
        return f"{words} and {verb} for {self.clock.span(made.ticks)}"

    def wait(self, start: int, end: int, events: Sequence[Event]) -> Iterator[Instruction]:
        """Yield a wait from one tick to another, if it is one, with what then happens."""
        if end - start > 1:
            words = f"wait {self.clock.span(end - start)}"
            seen = [one for one in events if one.seen == end and one.kind is Kind.CHANGE]
            changes = [one.words for one in seen if one.about not in self._nets]
            if changes:
                words += f" until {' and '.join(changes[-_MOST_REASONS:])}"
            yield Instruction(start, words, end - start)


def instructions(teller: Teller, route: Route, events: Sequence[Event]) -> list[Instruction]:
    """Return what to do, in order; what a wait is for is read off the events.

    A wait of one tick is not told: the moves have their times.
    """
    told: list[Instruction] = []
    now = 0
    for tick, moves in groupby(route.deeds.moves, key=lambda one: one.tick):
        told += teller.wait(now, tick, events)
        told += [Instruction(tick, teller.made(one, route.tick)) for one in moves]
        now = tick
    return [*told, *teller.wait(now, route.tick, events)]


# --- in the terminal ---


def write_route(board: Board, found: Routed) -> None:
    """Print the way, or why there is none."""
    for line in _report(board, found):
        line.rstrip()
        board.console.print(line)


def told(found: Routed, route: Route) -> Story:
    """Return the story of a route, with how exactly its moves must come where they are few."""
    system, question = found.goal.system, found.goal.question
    outcome = replace(found.outcome, trace=route.trace)
    story = plain(system, Answer(question, outcome), route.trace)
    if not 0 < route.moves <= _MOST_MOVES:
        return story
    run = Variations.of(system, question.goal, route.trace, anywhere=False)
    _, *moments = needs(run, Phrases(system.design, story.history.clock), "works")
    return replace(story, needs=tuple(moments))


def _report(board: Board, found: Routed) -> Iterator[Text]:
    design, clock = found.goal.system.design, Clock(found.goal.system.design.tick_ns)
    facts = f"{shown(design.file)}, tick {clock.span(1)}"
    head = Text.assemble((f"{shown(design.name)}: ", STRONG), (shown(found.goal.words), STRONG))
    yield head.append(f"{_GAP}{facts}", FAINT)
    for sentence in verdict(found):
        style = BROKEN if found.route is None else ""
        yield from paragraph(board.width, Text(""), sentence, style)
    if found.route is None:
        return
    yield Text()
    story = told(found, found.route)
    yield from _numbered(board, Teller(found.goal.system), found.route, story.events)
    for sentence in (*luck(found), *story.needs):
        yield from paragraph(board.width, Text(_GAP), sentence)
    if found.others is not None:
        yield from _others(board, found, found.others)
    if story.history.rows:
        yield Text()
        yield from diagram(board, story.history)


def _numbered(
    board: Board, teller: Teller, route: Route, events: Sequence[Event]
) -> Iterator[Text]:
    steps = instructions(teller, route, events)
    clock = teller.clock
    stamps = ["" if one.waits else f"at {clock.moment(one.tick)}" for one in steps]
    last = f"at {clock.moment(route.tick)}"
    wide = max(width(one) for one in (*stamps, last))
    digits = len(str(len(steps)))
    for number, (step, stamp) in enumerate(zip(steps, stamps, strict=True), start=1):
        head = Text.assemble(_GAP, (f"{number:>{digits}}.", FAINT), f" {stamp.ljust(wide)}{_GAP}")
        yield from paragraph(board.width, head, step.words, FAINT if step.waits else "")
    head = Text(f"{_GAP}{' ' * (digits + 1)} {last.ljust(wide)}{_GAP}")
    yield from paragraph(board.width, head, "the goal is reached", STRONG)


def verdict(found: Routed) -> Iterator[str]:
    """Yield how good the way is, and how that is known; or that there is none."""
    clock = Clock(found.goal.system.design.tick_ns)
    route = found.route
    if route is None:
        yield from _no_way(found)
        return
    span, moves = clock.span(route.tick), count_of(route.moves, "move")
    if found.order is Order.TIME:
        what = f"the {'quickest' if found.best else 'shortest found'} takes {span}, with {moves}"
        better = "no way is quicker"
    else:
        what = f"the fewest moves{'' if found.best else ' found'}: {route.moves}, in {span}"
        better = "no way takes fewer"
    yield what
    yield _surely(found, better)
    limit = found.goal.limit
    if limit is not None and route.tick > limit:
        yield f"that is later than the {clock.span(limit)} that the claim asks for"


def _surely(found: Routed, better: str) -> str:
    """Return how it is known that no way is better."""
    states = f"every state was tried up to there ({count_of(found.states, 'state')})"
    if found.proved:
        return f"proved: {better}{f'; {states}' if found.states else ''}"
    if found.states:
        return f"{better}: {states}, but there is no proof of it for the judge"
    why = found.others.why if found.others is not None and found.others.why else ""
    return f"whether {better} is not known{f': {why}' if why else ''}"


def _no_way(found: Routed) -> Iterator[str]:
    outcome = found.outcome
    if outcome.verdict is Verdict.FAILS:
        yield "there is no way, ever"
        by = f", accepted by {' and '.join(outcome.by)}" if outcome.by else ""
        states = (
            f"; every state was tried ({count_of(found.states, 'state')})" if found.states else ""
        )
        yield f"proved ({outcome.engine}{by}){states}"
    elif found.states:
        yield f"no way: every state was tried ({count_of(found.states, 'state')})"
        yield "the judge accepted no proof of it, so take it as likely only"
    else:
        yield f"unknown: {outcome.reason}" if outcome.reason else "unknown"


def luck(found: Routed) -> Iterator[str]:
    """Yield what spans were drawn on the way: the player's luck, not their choice."""
    if found.route is None:
        return
    system, clock = found.goal.system, Clock(found.goal.system.design.tick_ns)
    drawn = found.route.deeds.luck
    walks = {walker.timer.path for walker in system.design.walkers}
    for one in drawn[:_MOST_DRAWN]:
        name = system.clocks[one.clock].name
        # A walker's timer shows one less: it arrives in the tick in which none are left.
        more = 1 if name in walks else 0
        span, low, high = (clock.span(n + more) for n in (one.ticks, one.low, one.high))
        owner = name.rpartition(".")[0] or name
        yield f"Luck: {owner} takes {span} from {clock.moment(one.tick)} on ({low} .. {high})."
    if len(drawn) > _MOST_DRAWN:
        more = len(drawn) - _MOST_DRAWN
        verb = "is" if more == 1 else "are"
        yield f"Luck: {count_of(more, 'more span')} {verb} drawn as it suits."
    if drawn and serves_at_ends(found.goal, found.route):
        several = len(drawn) > 1
        which = "each of these spans" if several else "this span"
        how = ", alone and all at once" if several else ""
        yield (
            f"The same moves serve as well with {which} at its shortest and longest{how};"
            " nothing in between was tried."
        )
    elif drawn:
        yield "Where other spans are drawn, another way may be needed."


# --- the other ways ---


def _others(board: Board, found: Routed, others: Others) -> Iterator[Text]:
    teller = Teller(found.goal.system)
    if others.count is None:
        if found.best:
            yield Text()
            words = f"How many such ways there are was not counted: {others.why}."
            yield from paragraph(board.width, Text(""), words)
        return
    yield Text()
    yield from paragraph(board.width, Text(""), counted(others))
    if others.count == 1:
        return
    digits = len(str(len(others.listed)))
    for number, route in enumerate(others.listed, start=1):
        moves = [teller.move(made.move) for made in route.deeds.moves]
        line = "; ".join(moves[:_MOST_MOVES])
        if len(moves) > _MOST_MOVES:
            line += f"; {len(moves) - _MOST_MOVES} more"
        head = Text.assemble(_GAP, (f"{number:>{digits}}. ", NOTE))
        yield from paragraph(board.width, head, line or "nothing")


def counted(others: Others) -> str:
    """Return how many ways there are, and whether they are all listed."""
    if others.count == 1:
        return "There is no other way as short."
    listed = "these are all" if len(others.listed) == others.count else "these are some"
    classes = ""
    if others.classes is not None and others.classes != others.count:
        ways_ = count_of(others.classes, "way")
        classes = f" ({ways_} but for the order in which different people move)"
    return f"Equally short ways: {others.count}{classes}; {listed} of them:"
