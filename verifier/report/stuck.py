"""Where people get stuck: the run into it, what holds them there, and how the goal was lost."""

from collections.abc import Iterator

from rich.text import Text

from verifier.design.model import Choice, Design, Flag, Number
from verifier.puzzle.moves import Deeds, deeds
from verifier.puzzle.stuck import Stuck, Trap
from verifier.puzzle.stuck_acts import Loss, Mistake
from verifier.puzzle.stuck_holds import Hold
from verifier.report.bypass import asked, told_steps
from verifier.report.clock import Clock
from verifier.report.diagram import diagram
from verifier.report.ledger import ledger
from verifier.report.letters import width
from verifier.report.look import BROKEN, FAINT, NOTE, STRONG, Board
from verifier.report.paragraph import paragraph
from verifier.report.readings import leaf_nets
from verifier.report.route import Teller
from verifier.report.story import Story, plain
from verifier.verdict.answer import Answer, Outcome, Verdict

_GAP = "  "
_MOST_LINES = 16
_MOST_MISTAKES = 6
_MOST_HOLDS = 12


def write_stuck(board: Board, found: Stuck) -> None:
    """Print whether people can get stuck, and how."""
    for line in _report(board, found):
        line.rstrip()
        board.console.print(line)


def _report(board: Board, found: Stuck) -> Iterator[Text]:
    clock = Clock(found.goal.system.design.tick_ns)
    yield from asked(board, found.goal)
    style = BROKEN if found.outcome.verdict is Verdict.FAILS else STRONG
    latch = Text.assemble((_latch(board, found), style), " ")
    first, *others = verdict(found)
    yield from paragraph(board.width, latch, first, style)
    for sentence in others:
        yield from paragraph(board.width, Text(" " * len(latch)), sentence)
    if found.trap is None:
        return
    yield Text()
    story = told(found, found.trap)
    yield from ledger(board, clock, story.events, _MOST_LINES)
    yield Text()
    for sentence in (*moments(found, found.trap), *held(found)):
        yield from paragraph(board.width, Text(), sentence)
    if found.mistakes:
        yield Text()
        yield from _mistakes(board, found)
    if story.history.rows:
        yield Text()
        yield from diagram(board, story.history)


def told(found: Stuck, trap: Trap) -> Story:
    """Return the story of the run into a trap."""
    outcome = Outcome(Verdict.FAILS, trace=trap.trace)
    return plain(found.goal.system, Answer(found.goal.always(), outcome), trap.trace)


def _latch(board: Board, found: Stuck) -> str:
    return {
        Verdict.HOLDS: board.letters.latch_holds,
        Verdict.FAILS: board.letters.latch_fails,
        Verdict.UNKNOWN: board.letters.latch_unknown,
    }[found.outcome.verdict]


# --- what is known ---


def verdict(found: Stuck) -> Iterator[str]:
    """Yield the answer, then how it is known."""
    outcome, clock = found.outcome, Clock(found.goal.system.design.tick_ns)
    match outcome.verdict:
        case Verdict.HOLDS:
            yield "nobody can get stuck: whatever was done, the goal can still be reached"
        case Verdict.UNKNOWN:
            yield f"unknown: {_seems(found, clock)}"
            yield from (words for words in (outcome.reason, found.why) if words)
        case _ if found.trap is None:
            yield "the goal can't be reached at all, from the start on"
        case _:
            when = clock.moment(found.trap.trace.length)
            yield f"people can get stuck: from {when} on the goal can't be reached any more"
    if outcome.by:
        yield f"proved ({', '.join((outcome.engine, *outcome.by))})"
    yield from _searched(found)


def _seems(found: Stuck, clock: Clock) -> str:
    """Return what the search found where nothing was proved."""
    if found.stuck is None:
        return "neither a dead end nor a proof that there is none was found"
    if found.trap is not None:
        return f"people seem to be stuck from {clock.moment(found.trap.trace.length)} on"
    return "the goal seems out of reach" if found.stuck else "nobody seems to get stuck"


def _searched(found: Stuck) -> Iterator[str]:
    """Yield what the search says beside that: it is no proof."""
    if found.states:
        are = (
            f"{found.stuck} of {found.states} {'is' if found.stuck == 1 else 'are'}"
            if found.stuck
            else f"none of {found.states} is"
        )
        sooner = ", and nobody is stuck sooner" if found.trap is not None else ""
        yield f"every state that can come was tried: {are} stuck{sooner}"
    elif found.trap is not None:
        yield "others may be stuck sooner"
    if found.trap is not None and found.trap.afterwards:
        yield "but only those get stuck who have reached the goal before"


def moments(found: Stuck, trap: Trap) -> Iterator[str]:
    """Yield the last moment at which the goal could still be reached, and what was done then."""
    if trap.lost is None:
        return
    clock = Clock(found.goal.system.design.tick_ns)
    how = lost_by(found, trap)
    yield f"The last moment at which it could be reached was {clock.moment(trap.lost)}; {how}."


def lost_by(found: Stuck, trap: Trap) -> str:
    """Return by what the goal was lost in a trap."""
    teller = Teller(found.goal.system)
    made = deeds(found.goal.system, found.goal.node, trap.trace).moves
    moves = [one.move for one in made if one.tick == trap.lost]
    same = [one for one in found.mistakes if {*one.moves} == {*moves}]
    if any(one.loss is Loss.LUCK and one.trace.length - 1 == trap.lost for one in same):
        return "what lost it: a span that was drawn so"
    words = " and ".join(teller.move(move) for move in moves)
    return f"what lost it: {words or 'nobody acted in time'}"


def held(found: Stuck) -> Iterator[str]:
    """Yield what stays as it is for ever and bars the goal."""
    holds = found.trap.holds if found.trap is not None else ()
    if holds:
        words = [hold_words(found.goal.system.design, one) for one in holds[:_MOST_HOLDS]]
        more = [f"{len(holds) - _MOST_HOLDS} more"] if len(holds) > _MOST_HOLDS else []
        yield f"What holds it so for ever: {'; '.join([*words, *more])}."


def hold_words(design: Design, hold: Hold) -> str:
    """Return what stays as it is, in the builder's names."""
    walker = next((one for one in design.walkers if one.place.path == hold.path), None)
    if walker is not None and isinstance(walker.place.shape, Choice):
        if hold.bit:
            return f"{walker.name} is never {_place(hold.bit.rpartition(' is ')[2])} again"
        return f"{walker.name} is {_place(walker.place.shape.options[hold.value])}"
    if hold.bit:
        return f"`{hold.bit}` {'stays so' if hold.value else 'never again'}"
    for part in design.parts:
        if hold.path in (timer.path for timer in part.timers):
            return f"{part.path} does not run"
        if hold.path in (net.path for net in part.kept) and leaf_nets(part) is not None:
            return f"{part.path} {'is never shut' if hold.value else 'never opens'}"
    return _kept_words(design, hold)


def _place(name: str) -> str:
    start, arrow, end = name.partition(" -> ")
    return f"between {start} and {end}" if arrow else f"in {name}"


def _kept_words(design: Design, hold: Hold) -> str:
    net = next((one.net for one in design.kept if one.net.path == hold.path), None)
    match None if net is None else net.shape:
        case Flag():
            return f"{hold.path} stays {'live' if hold.value else 'dead'}"
        case Number():
            return f"{hold.path} stays at {hold.value}"
        case Choice(options):
            return f"{hold.path} stays at {options[hold.value]}"
        case _:
            return f"{hold.path} does not run"


# --- the acts by which it is lost ---


def _mistakes(board: Board, found: Stuck) -> Iterator[Text]:
    teller = Teller(found.goal.system)
    count = len(found.mistakes)
    yield Text("How the goal can be lost:" if count > 1 else "It can be lost in this way only:")
    for number, one in enumerate(found.mistakes[:_MOST_MISTAKES], start=1):
        head = Text.assemble(_GAP, (f"{number}. ", NOTE))
        tick = one.trace.length - 1
        late = one.afterwards and found.trap is not None and not found.trap.afterwards
        words = ", once the goal has been reached" if late else ""
        when = f" ({teller.clock.moment(tick)} at the soonest{words})"
        yield from paragraph(board.width, head, act_words(teller, one) + when)
        made = deeds(found.goal.system, found.goal.node, one.trace)
        before = Deeds(tuple(each for each in made.moves if each.tick < tick), ())
        if before.moves:
            head = Text(f"{' ' * width(head.plain)}after ")
            yield from paragraph(board.width, head, told_steps(teller, before))
    if count > _MOST_MISTAKES:
        yield Text(f"{_GAP}{count - _MOST_MISTAKES} more", FAINT)


def act_words(teller: Teller, mistake: Mistake) -> str:
    """Return what was done, or left undone, in the tick in which the goal was lost."""
    moves = " and ".join(teller.move(move) for move in mistake.moves)
    match mistake.loss:
        case Loss.ACT:
            return moves
        case Loss.IDLE:
            return "nobody acts in time"
        case Loss.LUCK:
            return f"luck: a span is drawn so{f', after {moves}' if moves else ''}"
