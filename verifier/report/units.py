"""Units in the terminal: who gets what, who starves and how, and how little still serves."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rich.text import Text

from verifier.report.clock import Clock, units
from verifier.report.dialled import how_it_fails
from verifier.report.events import events_of
from verifier.report.history import History
from verifier.report.ledger import ledger
from verifier.report.letters import cut, padded, shown, width
from verifier.report.look import BROKEN, FAINT, NOTE, STRONG, Board
from verifier.report.paragraph import paragraph
from verifier.report.presses import presses
from verifier.report.rows import Focus, choose
from verifier.simulate.watch import watch
from verifier.system.model import System
from verifier.tuning.dials_rig import question
from verifier.tuning.supply import Tried
from verifier.tuning.supply_least import Least
from verifier.tuning.supply_taps import NoSettings, Settings
from verifier.tuning.units import Extreme, Gets, Needs
from verifier.verdict.trace import Trace

_LONGEST_NAME = 26
_MOST_EVENTS = 8
_MOST_TRACES = 3


@dataclass(frozen=True, slots=True)
class Found:
    """All that was found of a design's units; `settings` is None where there is no tap to set."""

    needs: Needs
    least: tuple[Least, ...]
    settings: Settings | NoSettings | None


def write_units(board: Board, found: Found) -> None:
    """Print what was found."""
    design = found.needs.system.design
    clock = Clock(design.tick_ns)
    facts = f"  {shown(design.file)}, tick {clock.span(1)}"
    board.console.print(Text.assemble((shown(design.name), STRONG), (facts, FAINT)))
    board.console.print()
    for line in _report(board, clock, found):
        line.rstrip()
        board.console.print(line)


def _report(board: Board, clock: Clock, found: Found) -> Iterator[Text]:
    needs = found.needs
    yield from paragraph(board.width, Text(), summary(found), STRONG)
    if not needs.parts:
        return
    yield Text()
    yield from _table(needs.parts)
    if any(not _exact(one) for one in needs.parts):
        words = "~ as far as is known: a run shows it, but it is not proved that none goes beyond"
        yield from paragraph(board.width, Text("  "), words, FAINT)
    starving = [one for one in needs.parts if one.starves]
    for one in starving[:_MOST_TRACES]:
        if one.least is not None:
            yield from _starving(board, clock, needs.system, one, one.least)
    for least in found.least:
        yield Text()
        yield from _least(board, clock, least, len(needs.parts))
    if found.settings is not None:
        yield Text()
        yield from _settings(board, found.settings)


# --- in words -------------------------------------------------------------------------------------


def summary(found: Found) -> str:
    """Return in a few sentences who goes short, and what all draw at their worst."""
    parts = found.needs.parts
    if not parts:
        return "No part of this design needs any units."
    short = [one for one in parts if one.starves]
    open_ = [one for one in parts if not one.starves and not one.enough and not one.dry]
    dry = [one for one in parts if one.dry]
    told = []
    if short:
        told.append(f"{_names(short)} can starve")
    if dry:
        told.append(f"{_names(dry)} never {'gets' if len(dry) == 1 else 'get'} anything")
    if open_:
        it = "It" if not told else "it"
        told.append(f"{it} is not known whether all that arrives at {_names(open_)} is enough")
    words = "; ".join(told) if told else "Whatever arrives at a part is enough for it, proved"
    clock = Clock(found.needs.system.design.tick_ns)
    return f"{words}. {_drawn(found.needs.drawn, clock)}".strip()


def _names(parts: Sequence[Gets]) -> str:
    return ", ".join(shown(one.part) for one in parts)


def _drawn(drawn: Extreme | None, clock: Clock) -> str:
    if drawn is None:
        return ""
    if drawn.exact:
        return f"At the worst all together draw {units(drawn.met)}."
    until = "" if drawn.until is None else f", proved up to {clock.span(drawn.until)} only"
    most = f"at most {units(drawn.proved)}{until}"
    return f"At the worst all together draw at least {drawn.met} and {most}."


# --- the table ------------------------------------------------------------------------------------


def _exact(one: Gets) -> bool:
    return all(end is not None and end.exact for end in (one.least, one.most)) or one.dry


def _table(parts: Sequence[Gets]) -> Iterator[Text]:
    name = min(max(width(shown(one.part)) for one in parts), _LONGEST_NAME)
    heads = ("needs", "gets at least", "at most", "")
    rows = [_cells(one) for one in parts]
    columns = [max(width(row[n]) for row in (heads, *rows)) for n in range(len(heads))]
    yield Text.assemble(("  " + padded("", name) + _row(heads, columns), FAINT))
    for one, row in zip(parts, rows, strict=True):
        style = BROKEN if one.starves or one.dry else ""
        label = padded(cut(shown(one.part), name), name)
        yield Text.assemble("  ", (label, STRONG), _row(row[:3], columns), (f"  {row[3]}", style))


def _row(cells: Sequence[str], columns: Sequence[int]) -> str:
    return "".join(f"  {cell.rjust(size)}" for cell, size in zip(cells, columns, strict=False))


def _cells(one: Gets) -> tuple[str, str, str, str]:
    needs = units(one.needs)
    if one.dry:
        return needs, "nothing", "nothing", "never gets anything"
    if one.least is None or one.most is None:
        return needs, "?", "?", "not known"
    least, most = _amount(one.least), _amount(one.most)
    if one.starves:
        return needs, least, most, "starves"
    word = "enough" if one.enough else "enough so far"
    return needs, least, most, f"{word}; at times nothing" if one.idle else word


def _amount(end: Extreme) -> str:
    return f"{'' if end.exact else '~'}{units(end.met)}"


# --- who starves, and how -------------------------------------------------------------------------


def _starving(
    board: Board, clock: Clock, system: System, one: Gets, least: Extreme
) -> Iterator[Text]:
    at = clock.moment(least.trace.length - 1)
    yield Text()
    head = f"{shown(one.part)} gets {least.met} of the {units(one.needs)} it needs, at {at}:"
    yield from paragraph(board.width, Text(), head)
    yield from _run(board, clock, system, least.trace)


def _run(board: Board, clock: Clock, system: System, trace: Trace) -> Iterator[Text]:
    design = system.design
    seen = watch(system, trace).readings
    focus = Focus.of(design)
    rows = choose(design, seen, focus)
    history = History(clock, seen.length, rows.rows)
    events = events_of(history, presses(design, seen, focus))
    if events:
        yield from ledger(board, clock, events, _MOST_EVENTS)
    else:
        yield Text("  It is so from the start.")


# --- the least supply -----------------------------------------------------------------------------


def _least(board: Board, clock: Clock, least: Least, parts: int) -> Iterator[Text]:
    knob = least.knob
    head = f"How little may `{knob.part}` give ({knob.parameter}, now {units(knob.now)})?"
    yield from paragraph(board.width, Text(), head)
    if least.left_out:
        fail = "it fails" if len(least.left_out) == 1 else "they fail"
        words = f"Left out, as {fail} with {knob.now}"
        if least.above:
            words += f" and no amount up to {least.above[-1].value} was shown to serve all claims"
        names = ", ".join(least.left_out)
        yield from paragraph(board.width, Text("  "), f"{words}: {names}.", NOTE)
    if least.unsettled:
        words = f"Left out, as not known to hold for ever with {knob.now}"
        names = ", ".join(least.unsettled)
        yield from paragraph(board.width, Text("  "), f"{words}: {names}.", NOTE)
    best = least.value
    if best is None:
        words = f"No amount tried serves: {_range(least.tried)}."
        yield from paragraph(board.width, Text("  "), words, BROKEN)
        return
    words = f"{units(best)} will do: {_served(least, parts)}, proved."
    yield from paragraph(board.width, Text("  "), words, STRONG)
    yield from _less(board, clock, least)
    for one in least.holes:
        word = "fails" if one.holds is False else "is not known to serve"
        words = f"But {one.value} {word}, though it is more: {failure(clock, one)}."
        yield from paragraph(board.width, Text("  "), words, NOTE)


def _served(least: Least, parts: int) -> str:
    """Return what holds with the least amount, of a design with so many parts that need units."""
    claims = "all other claims hold" if least.claims_left_out else "all claims hold"
    out = least.parts_left_out
    if not out:
        return f"{claims} and each part can get its units"
    if len(out) == parts:
        return claims
    return f"{claims} and each part but {' and '.join(map(shown, out))} can get its units"


def _less(board: Board, clock: Clock, least: Least) -> Iterator[Text]:
    """Yield what is known of smaller amounts: the next one with its run, then all others."""
    refuted, best = least.refuted, least.value or 0
    if refuted is not None:
        told = "not" if refuted.holds is False else "it is not known"
        trace, system = refuted.outcome.trace, refuted.system
        run: list[Text] = []
        if system is not None and trace is not None and trace.length:
            run += _run(board, clock, system, trace)
        words = f"With {refuted.value} {told}: {failure(clock, refuted)}{':' if run else '.'}"
        yield from paragraph(board.width, Text("  "), words)
        yield from run
    words = ""
    unknown = [one for one in least.below if one.holds is None]
    if least.shown and best > 1:
        words = "Each smaller amount down to 0 was tried and shown to fail as well."
    elif unknown:
        words = f"Not known for {_range(unknown)}: it may be less."
    if least.untried:
        gaps = " and ".join(_span(gap) for gap in least.untried)
        words = f"{words} Not tried: {gaps}.".strip()
    if words:
        yield from paragraph(board.width, Text("  "), words, "" if least.shown else NOTE)


def _span(gap: range) -> str:
    return str(gap[0]) if len(gap) == 1 else f"{gap[0]} to {gap[-1]}"


def _range(tried: Sequence[Tried]) -> str:
    values = [one.value for one in tried]
    if len(values) > 1 and values == list(range(values[0], values[-1] + 1)):
        return f"{values[0]} to {values[-1]}"
    return ", ".join(map(str, values))


def failure(clock: Clock, tried: Tried) -> str:
    """Return in words how a claim fails with an amount, without a full stop."""
    if tried.system is None or tried.claim is None:
        return tried.outcome.reason
    return how_it_fails(question(tried.system, tried.claim), tried.outcome, clock)


# --- taps -----------------------------------------------------------------------------------------


def _settings(board: Board, found: Settings | NoSettings) -> Iterator[Text]:
    yield Text("How must the taps be set, if their amounts may be chosen too?")
    if isinstance(found, NoSettings):
        words = f"Nothing is known: {found.words}."
        if found.switched:
            words = (
                f"Power is switched at `{found.switched}`, so they cannot be worked out at once; "
                "make them settings and use `latchwork retune`."
            )
        if found.words == "none serve":
            words = "No amounts at all serve, shown by the solver."
        yield from paragraph(board.width, Text("  "), words, NOTE)
        return
    total = sum(value for _, value in found.sources)
    given = " and ".join(f"{units(value)} from {shown(path)}" for path, value in found.sources)
    yield from paragraph(board.width, Text("  "), f"With {given} each part gets what it needs:")
    name = max(width(shown(knob.part)) for knob, _ in found.taps)
    for knob, value in found.taps:
        change = "as it is" if knob.now == value else f"now {knob.now}"
        label = padded(shown(knob.part), name)
        yield Text.assemble("    ", (label, STRONG), f"  {units(value)}", (f"  ({change})", FAINT))
    if found.serves:
        words = (
            "Made so, the design was checked: each part gets its units and none starves, proved."
        )
    else:
        words = "Made so, the design was checked, but not all of that could be proved."
    yield from paragraph(board.width, Text("  "), words)
    if found.least and total:
        words = f"With {units(total - 1)} in all no amounts of the taps serve, shown by the solver."
        yield from paragraph(board.width, Text("  "), words)
    if found.broken:
        many = "This claim holds as it is and then does not"
        if len(found.broken) > 1:
            many = "These claims hold as it is and then do not"
        words = f"{many}: {', '.join(found.broken)}."
        yield from paragraph(board.width, Text("  "), words, NOTE)
