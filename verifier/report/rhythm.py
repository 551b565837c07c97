"""A rhythm in the terminal: in a sentence, then the round item by item, then drawn."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from rich.text import Text

from verifier.report.clock import Clock, units
from verifier.report.diagram import diagram
from verifier.report.history import History
from verifier.report.letters import cut, padded, shown, width
from verifier.report.look import BROKEN, FAINT, NOTE, STRONG, Board
from verifier.report.paragraph import paragraph
from verifier.report.phrases import Phrases
from verifier.report.rhythm_bounds import bounds_lines
from verifier.report.rows import Focus, choose
from verifier.tuning.cycle import Astray, Loop
from verifier.tuning.rhythm import Beat, Rhythm
from verifier.tuning.rhythm_bounds import AllRuns
from verifier.tuning.rhythm_items import Item, Sort
from verifier.tuning.rhythm_stall import Wait

_NAMED = 3  # so many items are named in the summary
_LISTED = 4  # so many stretches of one item
_LONGEST_NAME = 26
_VARIES = (
    "Some spans vary within a range, so there are many runs. The round below is that of the run in "
    "which each span is at its shortest."
)
_SAID = frozenset(("lit", "open", "ajar", "on"))
_DOES = {"rings": "rings", "works": "works"}


def write_rhythm(
    board: Board, found: Rhythm, waits: Sequence[Wait], all_runs: AllRuns | None, *, pressed: bool
) -> None:
    """Print a rhythm; `pressed`: somebody pressed before the design was left alone."""
    clock = Clock(found.design.tick_ns)
    facts = f"  {shown(found.design.file)}, tick {clock.span(1)}"
    board.console.print(Text.assemble((shown(found.design.name), STRONG), (facts, FAINT)))
    board.console.print()
    for line in _report(board, clock, found, (waits, all_runs), pressed=pressed):
        line.rstrip()
        board.console.print(line)


def _report(
    board: Board,
    clock: Clock,
    found: Rhythm,
    more: tuple[Sequence[Wait], AllRuns | None],
    *,
    pressed: bool,
) -> Iterator[Text]:
    waits, all_runs = more
    yield from paragraph(board.width, Text(), summary(found, clock), STRONG)
    for style, words in _remarks(found, clock, pressed=pressed):
        yield from paragraph(board.width, Text(), words, style)
    yield from _waiting(board, clock, found, waits)
    if all_runs is not None:
        yield Text()
        yield from bounds_lines(board, clock, all_runs)
    yield from _round(board, clock, found)
    if found.draw.most or found.draw.supplied:
        yield Text()
        yield from paragraph(board.width, Text(), _units(found))
    yield from _drawn(board, clock, found)


# --- in words -------------------------------------------------------------------------------------


def summary(found: Rhythm, clock: Clock) -> str:
    """Return the rhythm in a sentence or two."""
    loop = found.loop
    if isinstance(loop, Astray):
        end = clock.moment(loop.until)
        return f"No loop was found: in {loop.jumps:,} events, up to {end}, no state came again."
    if loop.period is None:
        when = f"Comes to rest after {clock.moment(loop.settles)}"
        when = when if loop.settles else "Rests from the start on"
        return f"{when}: nothing changes any more."
    told = [one for one in found.beats if one.switchings and one.item.sort is not Sort.CLAIM]
    told.sort(key=lambda one: (_rank(one.item), found.beats.index(one)))
    first = (
        f"settles after {clock.moment(loop.settles)} into" if loop.settles else "runs at once in"
    )
    words = f"{first} a loop of {clock.span(loop.period)}"
    named = [
        f"{shown(_subject(one.item))} {_verb(one.item)} {clock.span(one.ticks)} of it"
        for one in told[:_NAMED]
    ]
    words = f"{words}; {', '.join(named)}." if named else f"{words}."
    return words[0].upper() + words[1:]


def _rank(item: Item) -> int:
    """Put what a visitor sees first: lamps and bells, doors that stand open, then all else."""
    word = item.net.path.rpartition(".")[2]
    if item.sort is Sort.PART and (word in _DOES or word in _SAID):
        return 0
    if item.sort is Sort.DOOR:
        return 1 if word == "open" else 3
    return 2


def _subject(item: Item) -> str:
    return item.net.part if item.sort is Sort.DOOR else item.name


def _verb(item: Item) -> str:
    word = item.net.path.rpartition(".")[2]
    if word in _DOES:
        return _DOES[word]
    return f"is {word}" if word in _SAID else "is on"


def _remarks(found: Rhythm, clock: Clock, *, pressed: bool) -> Iterator[tuple[str, str]]:
    if found.breaks is not None:
        at = clock.moment(found.breaks)
        yield BROKEN, f"This run breaks what the design assumes, at {at}: it does not count."
    if found.hands and not pressed:
        rests = isinstance(found.loop, Loop) and found.loop.period is None
        try_ = " Use --press to set something off." if rests else ""
        yield NOTE, f"This is the design left alone: nobody presses anything, nobody walks.{try_}"
    if pressed:
        yield NOTE, "After the presses asked for, nobody does anything any more."
    if found.varies:
        yield NOTE, _VARIES
        if pressed:
            yield NOTE, "The least and most in all runs are worked out only without presses."


def _waiting(board: Board, clock: Clock, found: Rhythm, waits: Sequence[Wait]) -> Iterator[Text]:
    if not waits:
        return
    phrases = Phrases(found.design, clock)
    yield Text()
    yield Text("What waits, and for what:")
    for wait in waits:
        facts = ", ".join(dict.fromkeys(phrases.fact(one) for one in wait.facts))
        head = Text.assemble("  ", (shown(wait.part), STRONG), " is not started: ")
        yield from paragraph(board.width, head, facts)


# --- the round ------------------------------------------------------------------------------------


def _round(board: Board, clock: Clock, found: Rhythm) -> Iterator[Text]:
    moving = [one for one in found.beats if one.switchings]
    if moving:
        yield Text()
        yield from paragraph(board.width, Text(), _heading(found, clock))
        yield from _table(board, clock, moving, own=isinstance(found.loop, Astray))
    looped = isinstance(found.loop, Loop) and found.loop.period is not None
    for words, names in (
        ("On all the time", [one.item.name for one in found.beats if one.ticks == one.period]),
        ("Never on", [one.item.name for one in found.beats if not one.ticks]),
        ("Not found to come again", [one.name for one in found.lost]),
    ):
        if names and (looped or moving or found.lost):
            head = Text.assemble((f"{words}: ", FAINT))
            yield from paragraph(board.width, head, "; ".join(names) + ".")


def _heading(found: Rhythm, clock: Clock) -> str:
    if isinstance(found.loop, Astray):
        return "These come again by themselves, each in a round of its own:"
    begins = ""
    if found.opens is not None:
        at = clock.moment(found.start)
        begins = f", counted from when {shown(found.opens.name)} goes on, first at {at}"
    return f"In each round of {clock.span(found.loop.period or 0)}{begins}:"


def _table(board: Board, clock: Clock, beats: Sequence[Beat], *, own: bool) -> Iterator[Text]:
    name = min(max(width(shown(one.item.name)) for one in beats), _LONGEST_NAME)
    cells = [_cells(clock, one, own=own) for one in beats]
    heads = ("on for", "share", "times", "from", "until", *(("each",) if own else ()))
    columns = [max(width(row[n]) for row in (heads, *cells)) for n in range(len(heads))]
    yield Text.assemble(("  " + padded("", name) + _row(heads, columns), FAINT))
    for beat, row in zip(beats, cells, strict=True):
        label = padded(cut(shown(beat.item.name), name), name)
        yield Text.assemble("  ", (label, STRONG), _row(row, columns))
        for start, end in beat.on[1:_LISTED]:
            more = ("", "", "", clock.moment(start), clock.moment(end), *(("",) if own else ()))
            yield Text("  " + padded("", name) + _row(more, columns))
        left = len(beat.on) - _LISTED
        if left > 0:
            words = f"{board.letters.more} and {left} more"
            yield Text(
                "  " + padded("", name) + words.rjust(sum(columns) + 2 * len(columns)), FAINT
            )


def _cells(clock: Clock, beat: Beat, *, own: bool) -> tuple[str, ...]:
    start, end = beat.on[0]
    found = (
        clock.span(beat.ticks),
        percent(beat.share),
        str(beat.switchings),
        clock.moment(start),
        clock.moment(end),
    )
    return (*found, clock.span(beat.period)) if own else found


def _row(cells: Sequence[str], columns: Sequence[int]) -> str:
    return "".join(f"  {cell.rjust(size)}" for cell, size in zip(cells, columns, strict=True))


def percent(share: Fraction) -> str:
    """Return a share with one decimal, rounded; never 0 for something, nor 100 for less."""
    tenths = round(share * 1000)
    if share and not tenths:
        return "< 0.1 %"
    if share < 1 and tenths == 1000:  # noqa: PLR2004 - all of it
        return "> 99.9 %"
    return f"{tenths // 10}.{tenths % 10} %"


def hundredths(value: Fraction) -> str:
    """Return a number with at most two decimals, rounded to the nearest."""
    number = round(value * 100)
    text = f"{number // 100}.{number % 100:02d}".rstrip("0").rstrip(".")
    return text if Fraction(text) == value else f"about {text}"


# --- units, and the drawing -----------------------------------------------------------------------


def _units(found: Rhythm) -> str:
    draw = found.draw
    looped = isinstance(found.loop, Loop) and found.loop.period is not None
    of = f" The supply gives {units(draw.supplied)}." if draw.supplied else ""
    if draw.least == draw.most == draw.first:
        return f"Units drawn: always {draw.first}.{of}"
    astray = isinstance(found.loop, Astray)
    where, average = "as far as it was followed" if astray else "on the way to rest", ""
    if looped:
        where, average = "in a round", f", on average {hundredths(draw.average)}"
    words = f"{where} at least {draw.least}, at most {draw.most}{average}"
    return f"Units drawn: {draw.first} at the start; {words}.{of}"


def _drawn(board: Board, clock: Clock, found: Rhythm) -> Iterator[Text]:
    seen = found.round()
    rows = choose(found.design, seen, Focus.of(found.design))
    if not rows.rows or isinstance(found.loop, Astray):
        return
    yield Text()
    looped = found.loop.period is not None
    yield Text("One round:" if looped else "How it comes to rest:")
    yield from diagram(board, History(clock, seen.length, rows.rows, resting=rows.resting))
