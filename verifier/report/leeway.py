"""Margins of settings in the terminal: how far each may go, and the run that ends it."""

from collections.abc import Iterator, Sequence

from rich.text import Text

from verifier.report.clock import Clock
from verifier.report.dialled import dialled, headline, how_it_fails, run_of
from verifier.report.letters import padded, shown, width
from verifier.report.look import FAINT, NOTE, STRONG, Board
from verifier.report.paragraph import paragraph
from verifier.system.model import System
from verifier.tuning.dials import Dial
from verifier.tuning.dials_rig import Rig, moved, question
from verifier.tuning.margins import Margins, Room, Side, Slack
from verifier.tuning.margins_line import Edge
from verifier.verdict.answer import Verdict

_MOST_RUNS = 4
_INDENT = Text("  ")


def write_margins(board: Board, rig: Rig, found: Margins, tick_ns: int) -> None:
    """Print what was found."""
    clock = Clock(tick_ns)
    for line in (*headline(board, rig, tick_ns), Text(), *_report(board, rig, found, clock)):
        line.rstrip()
        board.console.print(line)


def _report(board: Board, rig: Rig, found: Margins, clock: Clock) -> Iterator[Text]:
    for name, outcome in found.answers:
        if outcome.verdict is not Verdict.HOLDS:
            asked = question(rig.made(found.at), name)
            words = f"Left out: as it stands {how_it_fails(asked, outcome, clock)}."
            yield from paragraph(board.width, Text(), words, NOTE)
    if not found.claims:
        yield from paragraph(board.width, Text(), "No claim holds as it stands.", STRONG)
        return
    count = len(found.claims)
    claims = "the claim that holds" if count == 1 else f"the {count} claims that hold"
    if found.rooms:
        words = f"How far each setting may go, all others as they are, for {claims} now to hold on:"
        yield from paragraph(board.width, Text(), words, STRONG)
        yield from _table(board, rig, found, clock)
    runs = _MOST_RUNS
    for room in found.rooms:
        for side in (room.low, room.high):
            told = runs > 0
            runs -= side.edge is not None and side.edge.outcome.trace is not None
            yield from _beyond(board, rig, found, room, side, told=told)
    if found.slack is not None:
        yield Text()
        yield from _slack(board, rig, found, found.slack, clock)


def _table(board: Board, rig: Rig, found: Margins, clock: Clock) -> Iterator[Text]:
    rows = []
    for room in found.rooms:
        dial = rig.dials[room.place]
        low, high = dialled(dial, room.low.last, clock), dialled(dial, room.high.last, clock)
        span = f"{low} .. {high}" if room.low.last != room.high.last else f"{low} only"
        rows.append((dial, span, dialled(dial, found.at[room.place], clock)))
    name = max(width(shown(dial.name)) for dial, *_ in rows)
    span_ = max(width(span) for _, span, *_ in rows)
    for dial, span, now in rows:
        label = padded(shown(dial.name), name)
        yield Text.assemble(
            "  ", (label, STRONG), f"  {padded(span, span_)}", (f"  now {now}", FAINT)
        )
    yield from paragraph(board.width, _INDENT, _sure(found.rooms), FAINT)


def _sure(rooms: Sequence[Room]) -> str:
    """Say how the values in between are known to serve."""
    until = dict.fromkeys(name for room in rooms for name in room.until)
    alike = dict.fromkeys(name for room in rooms for name in room.alike)
    told = ["Every value in between is proved"]
    if until:
        told.append(f"{', '.join(until)} up to a time only")
    if alike:
        told.append(f"{', '.join(alike)} by runs of one shape, replayed at some values")
    return "; ".join(told) + "."


def _beyond(
    board: Board, rig: Rig, found: Margins, room: Room, side: Side, *, told: bool
) -> Iterator[Text]:
    """Yield what happens at the first value outside, with the run where there is room."""
    dial, clock = rig.dials[room.place], Clock(rig.made(found.at).design.tick_ns)
    if side.edge is None:
        yield from paragraph(board.width, _INDENT, _end_of_range(dial, side, clock), FAINT)
        return
    edge = side.edge
    value = dialled(dial, edge.at, clock)
    failing = how_it_fails(question(rig.made(found.at), edge.claim), edge.outcome, clock)
    yield Text()
    yield from paragraph(board.width, Text(), f"With `{dial.name}` = {value}, {failing}.")
    if told:
        system = rig.system(moved(found.at, room.place, edge.at))
        yield from _run(board, clock, system, edge)


def _run(board: Board, clock: Clock, system: System | None, edge: Edge) -> Iterator[Text]:
    trace = edge.outcome.trace
    fails = edge.outcome.verdict is Verdict.FAILS
    if fails and system is not None and trace is not None and trace.length:
        yield from run_of(board, clock, system, trace)


def _end_of_range(dial: Dial, side: Side, clock: Clock) -> str:
    value = dialled(dial, side.last, clock)
    if dial.own:
        return f"{dial.name}: {value} is the end of its range."
    return f"{dial.name}: looked at no further than {value}; --turn says how far to look."


def _slack(board: Board, rig: Rig, found: Margins, slack: Slack, clock: Clock) -> Iterator[Text]:
    if not slack.widens:
        words = "All spans at once: the design has none that a tolerance would widen."
        yield from paragraph(board.width, Text(), words)
        return
    now = f" (now {slack.now} %)" if slack.now else ""
    which = "All spans that a tolerance widens" if slack.exact else "All spans of parts"
    words = f"{which} may be off by up to {slack.most} % at once{now}."
    edge = slack.edge
    if edge is not None and edge.outcome.verdict is Verdict.UNKNOWN:
        words = f"{words.removesuffix('.')}, as far as is known."
        if slack.most == 0:
            words = "By how much the spans of parts may be off is not known."
    elif slack.most == 0:
        words = "The spans of parts may not be off by even 1 %."
    yield from paragraph(board.width, Text(), words, STRONG)
    if slack.exact:
        timers = ", ".join(slack.exact)
        words = (
            f"Taken as exact: spans that timers start with or are turned over with, of {timers}."
        )
        yield from paragraph(board.width, _INDENT, words, NOTE)
    if slack.until:
        words = f"Up to a time only: {', '.join(slack.until)}."
        yield from paragraph(board.width, _INDENT, words, NOTE)
    if edge is None:
        yield from paragraph(board.width, _INDENT, "It was not looked further.", FAINT)
        return
    failing = how_it_fails(question(rig.made(found.at), edge.claim), edge.outcome, clock)
    yield from paragraph(board.width, Text(), f"With {edge.at} %, {failing}.")
    yield from _run(board, clock, rig.system(found.at, edge.at), edge)
