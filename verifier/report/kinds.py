"""The pages of kinds of parts: what they are told, what goes in and out, and how they work."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from rich.text import Text

from verifier.design.model import Choice, Net, Number
from verifier.report.bench import Bench, inputs_of, trial
from verifier.report.clock import Clock
from verifier.report.diagram import diagram
from verifier.report.graph import Graph
from verifier.report.history import History
from verifier.report.letters import padded, shown, width
from verifier.report.look import NOTE, STRONG, Board
from verifier.report.paragraph import paragraph
from verifier.report.rows import Focus, choose
from verifier.simulate.told import played
from verifier.simulate.watch import watch
from verifier.syntax import tree
from verifier.system.lower import lower

_GAP = "  "
_CALM = 60  # jumps after the trial until the part rests or comes again


def write_kinds(board: Board, blocks: Sequence[tree.Block]) -> None:
    """Print a list of kinds, each with what it does."""
    longest = max((width(block.name.text) for block in blocks), default=0)
    for block in blocks:
        head = Text.assemble((padded(block.name.text, longest), STRONG), _GAP)
        for line in paragraph(board.width, head, block.text or "(no text)"):
            board.console.print(line)


def write_kind(board: Board, block: tree.Block, found: Bench | None) -> None:
    """Print the page of a kind; `found` is it on its bench, None if it has none."""
    for line in _page(board, block, found):
        line.rstrip()
        board.console.print(line)


def _page(board: Board, block: tree.Block, found: Bench | None) -> Iterator[Text]:
    yield Text(block.name.text, STRONG)
    if block.text:
        yield from paragraph(board.width, Text(_GAP), block.text)
    yield from _table("told", [_parameter(one) for one in block.parameters])
    if found is None:
        yield Text()
        yield from paragraph(board.width, Text(), _NO_BENCH)
        return
    part = found.part
    yield from _table("in", [(_short(found, net), _sort(net)) for net in part.ports_in])
    yield from _table("out", [(_short(found, net), _answer(found, net)) for net in part.ports_out])
    named = [*part.lets, *part.kept, *(one for one in (part.fed, part.starving) if one)]
    names = [_short(found, net) for net in named] + [
        timer.path.removeprefix(f"{part.path}.") for timer in part.timers
    ]
    if names:
        yield Text()
        yield from paragraph(
            board.width, Text(f"{_GAP}to read  ", NOTE), ", ".join(sorted({*names}))
        )
    if part.draw:
        yield Text.assemble((f"{_GAP}draws    ", NOTE), _units(part.draw))
    starts = list(_starts(found))
    if starts:
        yield from paragraph(board.width, Text(f"{_GAP}at first ", NOTE), ", ".join(starts))
    yield Text()
    yield Text.assemble("At work: ", (shown(found.written.partition(" : ")[2]), STRONG))
    yield Text()
    yield from _at_work(board, found)


_NO_BENCH = (
    "It is not shown at work here: no simple bench serves this kind. Place it in a design and use"
    " `latchwork run`."
)


def _table(heading: str, entries: Sequence[tuple[str, str]]) -> Iterator[Text]:
    """Yield a heading beside its entries, a line each."""
    if not entries:
        return
    yield Text()
    longest = max(width(name) for name, _ in entries)
    for number, (name, words) in enumerate(entries):
        head = f"{_GAP}{heading if number == 0 else ''}".ljust(8)
        yield Text.assemble(
            (head, NOTE), (padded(shown(name), longest), STRONG), _GAP, shown(words)
        )


def _parameter(one: tree.Parameter) -> tuple[str, str]:
    default = f" = {one.default.span.quoted}" if one.default is not None else ""
    return one.name.text, f"{one.type.span.quoted}{default}"


def _short(found: Bench, net: Net) -> str:
    return net.path.removeprefix(f"{found.part.path}.")


def _sort(net: Net) -> str:
    return "power" if net.power else "signal"


def _answer(found: Bench, net: Net) -> str:
    """Say what an output follows, and when: at once where no kept state lies between."""
    graph = Graph.of(found.design)
    cone = graph.cone([net])
    followed = [one for one in inputs_of(found) if one in cone]
    at_once = [_short(found, one) for one in followed if graph.answers_at_once(one, net)]
    later = [_short(found, one) for one in followed if not graph.answers_at_once(one, net)]
    words = [f"follows {_listed(at_once)} at once"] if at_once else []
    if later:
        words.append(f"{'' if words else 'follows '}{_listed(later)} at the next tick")
    return f"{_sort(net)}, {', '.join(words) or 'of itself'}"


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _units(number: int) -> str:
    return f"{number} unit{'' if number == 1 else 's'}"


def _starts(found: Bench) -> Iterator[str]:
    """Yield the start values of all that the part keeps."""
    inside = f"{found.part.path}."
    for kept in found.design.kept:
        if kept.net.path.startswith(inside):
            name = kept.net.path.removeprefix(inside)
            match kept.net.shape:
                case Choice(options):
                    yield f"{name} is {options[kept.start]}"
                case Number():
                    yield f"{name} = {kept.start}"
                case _:
                    yield f"{name} = {'yes' if kept.start else 'no'}"
    clock = Clock(found.design.tick_ns)
    for timer in found.design.timers:
        if timer.path.startswith(inside):
            yield f"{timer.path.removeprefix(inside)} = {clock.span(timer.start)}"


def at_work(found: Bench) -> History:
    """Return what a part does on its bench."""
    design = found.design
    system = lower(design)
    acts, length = trial(found, system)
    watched = watch(system, played(system, acts, length), None, _CALM, again=True)
    hands = [free.net for free in design.free if free.net.part == found.part.path]
    focus = replace(Focus.of(design), asked=frozenset((*found.part.ports_out, *hands)))
    rows = choose(design, watched.readings, focus)
    clock = Clock(design.tick_ns)
    return History(clock, watched.readings.length, rows.rows, again=watched.again)


def _at_work(board: Board, found: Bench) -> Iterator[Text]:
    history = at_work(found)
    if any(row.changes for row in history.rows):
        yield from diagram(board, history)
    else:
        yield Text("Nothing changes.")
