"""The least and most of each item, where spans vary, as a table in the terminal."""

from collections.abc import Iterator, Sequence

from rich.text import Text

from verifier.report.clock import Clock
from verifier.report.letters import cut, padded, shown, width
from verifier.report.look import FAINT, STRONG, Board
from verifier.report.paragraph import paragraph
from verifier.tuning.rhythm_bounds import AllRuns, Bounds, End, Extent
from verifier.tuning.units import Extreme

_LONGEST_NAME = 20


def bounds_lines(board: Board, clock: Clock, all_runs: AllRuns) -> Iterator[Text]:
    """Yield what holds in all runs, however the spans are drawn."""
    bounds = all_runs.bounds
    yield Text("In all runs, however the spans turn out:")
    moving = [one for one in bounds if one.steady is None]
    if moving:
        yield from _table(clock, moving)
    for steady, words in ((True, "Proved to be on all the time"), (False, "Proved never to be on")):
        names = [one.item.name for one in bounds if one.steady is steady]
        if names:
            head = Text.assemble((f"{words}: ", FAINT))
            yield from paragraph(board.width, head, "; ".join(names) + ".")
    ends = [end for one in moving for end in _ends(one)]
    if all_runs.drawn is not None:
        least, most = all_runs.drawn
        yield Text(f"Units drawn in all runs: at least {_units(least)}, at most {_units(most)}.")
        ends += [End(_known(end), end.exact) for end in all_runs.drawn]
    if any(end.ticks is not None and not end.exact for end in ends):
        words = "~ proved never to be passed, but no run was found that comes so near"
        yield from paragraph(board.width, Text("  "), words, FAINT)
    if any(end.ticks is None for end in ends):
        words = "? not known: no bound was proved (try more --effort)"
        yield from paragraph(board.width, Text("  "), words, FAINT)


def _known(end: Extreme) -> int | None:
    """Return the amount that no run goes beyond, None where that is known up to a time only."""
    return end.proved if end.until is None else None


def _units(end: Extreme) -> str:
    known = _known(end)
    return "?" if known is None else f"{'' if end.exact else '~'}{known}"


def _ends(one: Bounds) -> list[End]:
    return [end for extent in (one.on, one.off, one.round) for end in (extent.least, extent.most)]


def _table(clock: Clock, moving: Sequence[Bounds]) -> Iterator[Text]:
    name = min(max(width(shown(one.item.name)) for one in moving), _LONGEST_NAME)
    heads = ("on for", "off for", "a round")
    rows = [tuple(extent(clock, x) for x in (one.on, one.off, one.round)) for one in moving]
    columns = [max(width(row[n]) for row in (heads, *rows)) for n in range(len(heads))]

    def line(cells: Sequence[str]) -> str:
        return "".join(f"  {padded(cell, size)}" for cell, size in zip(cells, columns, strict=True))

    yield Text.assemble(("  " + padded("", name) + line(heads), FAINT))
    for one, row in zip(moving, rows, strict=True):
        yield Text.assemble(
            "  ", (padded(cut(shown(one.item.name), name), name), STRONG), line(row)
        )


def extent(clock: Clock, found: Extent) -> str:
    """Return the least and most in a few words."""
    least, most = _end(clock, found.least), _end(clock, found.most)
    return least if found.least == found.most and least != "?" else f"{least} to {most}"


def _end(clock: Clock, end: End) -> str:
    if end.ticks is None:
        return "?"
    return f"{'' if end.exact else '~'}{clock.span(end.ticks)}"
