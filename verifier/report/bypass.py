"""What a goal can be reached without, as a table, with the ways that do without it."""

from collections.abc import Iterator, Sequence

from rich.text import Text

from verifier.puzzle.bypass import Bypass, Row, Way
from verifier.puzzle.bypass_ask import Found
from verifier.puzzle.bypass_elements import Element
from verifier.puzzle.bypass_sets import Sets
from verifier.puzzle.goal import Goal
from verifier.puzzle.moves import Deeds
from verifier.puzzle.orders import Orders
from verifier.report.clock import Clock
from verifier.report.counts import count_of
from verifier.report.letters import padded, shown, width
from verifier.report.look import BROKEN, FAINT, INK, NOTE, STRONG, Board
from verifier.report.paragraph import paragraph
from verifier.report.route import Teller, verdict

_GAP = "  "
_MOST_MOVES = 16  # of one way
_MOST_SETS = 8
_LONGEST_NAME = 28

ASKED = (
    "Not needed means: the goal can be reached while nobody ever uses it. It is not taken away: a"
    " plate that nobody treads on is still there, and still holds shut what it holds shut."
)


def write_bypass(board: Board, found: Bypass) -> None:
    """Print the table, the ways, the orders and the smallest sets."""
    for line in _report(board, found):
        line.rstrip()
        board.console.print(line)


def headline(board: Board, found: Bypass) -> Iterator[Text]:
    """Yield what was asked, and the answer in a sentence."""
    yield from asked(board, found.goal)
    if not found.ways:
        for sentence in verdict(found.quickest):
            yield from paragraph(board.width, Text(), sentence, BROKEN)
        return
    yield from paragraph(board.width, Text(), tally(found))


def asked(board: Board, goal: Goal) -> Iterator[Text]:
    """Yield the design and its goal, and where they stand, below if there is no room beside."""
    design = goal.system.design
    head = Text(f"{shown(design.name)}: {shown(goal.words)}", STRONG)
    facts = f"{shown(design.file)}, tick {Clock(design.tick_ns).span(1)}"
    if width(head.plain) + len(_GAP) + width(facts) <= board.width:
        yield Text.assemble(head, (f"{_GAP}{facts}", FAINT))
    else:
        yield from paragraph(board.width, Text(), head.plain, STRONG)
        yield Text(facts, FAINT)


def tally(found: Bypass) -> str:
    """Return how much can be done without."""
    free = sum(row.needed is False for row in found.rows)
    open_ = sum(row.needed is None for row in found.rows)
    count = len(found.rows)
    if not count:
        return "the goal comes of itself: there is nothing that people could do for it"
    of = "the one thing there is" if count == 1 else f"{count} things"
    unknown = f"; of {open_} it is not known" if open_ else ""
    if free:
        without = of if count == 1 else f"{free} of {of}"
        return f"the goal can be reached without {without}{unknown}"
    if open_ == count:
        return f"it is not known whether the goal needs {of if count == 1 else f'any of {of}'}"
    if open_:
        return f"the goal needs {count - open_} of {of}{unknown}"
    return f"there is no way round: the goal needs {of if count == 1 else f'each of {of}'}"


def _report(board: Board, found: Bypass) -> Iterator[Text]:
    yield from headline(board, found)
    if not found.ways:
        return
    yield Text()
    if found.rows:
        yield from _table(board, found.rows)
        yield Text()
    for number, way in enumerate(found.ways):
        yield from _way(board, found, number, way)
    if found.orders is not None:
        yield Text()
        yield from _orders(board, found, found.orders)
    if found.sets is not None:
        yield Text()
        yield from _sets(board, found.sets)
    if found.rows:
        yield Text()
        yield from paragraph(board.width, Text(), ASKED, FAINT)


# --- the table ---


def _table(board: Board, rows: Sequence[Row]) -> Iterator[Text]:
    name = min(max(width(shown(row.element.name)) for row in rows), _LONGEST_NAME)
    what = max(width(shown(row.element.what)) for row in rows)
    for row in rows:
        need, style = _NEEDS[row.needed]
        line = Text.assemble(
            _GAP,
            (padded(shown(row.element.name), name), STRONG),
            _GAP,
            padded(shown(row.element.what), what),
            _GAP,
            (padded(need, width("not needed")), style),
            _GAP,
        )
        if width(line.plain) + width(known(row)) <= board.width:
            yield line.append(known(row))
        else:
            yield line
            yield from paragraph(board.width, Text(" " * (name + 2 * len(_GAP))), known(row))


_NEEDS = {True: ("needed", STRONG), False: ("not needed", INK), None: ("unknown", STRONG)}


def known(row: Row) -> str:
    """Return how it is known whether an element is needed."""
    if row.way is not None:
        return f"way {row.way + 1} does without"
    return surely(row.found)


def surely(found: Found) -> str:
    """Return how it is known that something can't be done."""
    return f"proved ({', '.join((found.engine, *found.by))})" if found.proved else found.reason


# --- ways ---


def _way(board: Board, found: Bypass, number: int, way: Way) -> Iterator[Text]:
    clock = Clock(found.goal.system.design.tick_ns)
    best = " (the quickest of all)" if not number and found.quickest.best else ""
    head = Text.assemble((f"way {number + 1}{_GAP}", NOTE))
    takes = f"takes {clock.span(way.route.tick)}{best}: {steps(found, way.route.deeds)}"
    yield from paragraph(board.width, head, takes)


def steps(found: Bypass, deeds: Deeds) -> str:
    """Return what is done on a way, in one sentence."""
    return told_steps(Teller(found.goal.system), deeds)


def told_steps(teller: Teller, deeds: Deeds) -> str:
    """Return moves with their times: `0.0 s guest goes to cellar; 0.5 s guest goes to vault`."""
    told = [
        f"{teller.clock.moment(made.tick)} {teller.move(made.move)}"
        for made in deeds.moves[:_MOST_MOVES]
    ]
    more = len(deeds.moves) - _MOST_MOVES
    return "; ".join([*told, *([f"{count_of(more, 'move')} more"] if more > 0 else [])]) or "wait"


# --- orders and sets ---


def _orders(board: Board, found: Bypass, orders: Orders) -> Iterator[Text]:
    chains = orders.chains()
    if chains:
        yield Text("Every way uses these in this order (or two in the same instant):")
        for chain in chains:
            yield from paragraph(board.width, Text(_GAP), ", then ".join(names(chain)))
    free = [pair for pair in orders.pairs if pair.found.route is not None]
    if free:
        yield Text("These may change places:")
    for pair in free:
        if pair.found.route is not None:
            one, other = names((pair.later, pair.earlier))
            words = f"{one}, then {other}: {steps(found, pair.found.route.deeds)}"
            yield from paragraph(board.width, Text(_GAP), words)
    for pair in orders.pairs:
        if pair.found.unknown:
            words = f"whether {' and '.join(names((pair.earlier, pair.later)))} may: not known"
            yield from paragraph(board.width, Text(_GAP), words)
    if orders.left_out:
        were = "was" if orders.left_out == 1 else "were"
        yield Text(f"{_GAP}{orders.left_out} more {were} not looked at.", FAINT)


def names(elements: Sequence[Element]) -> list[str]:
    """Return the names of elements."""
    return [element.name for element in elements]


def _sets(board: Board, sets: Sets) -> Iterator[Text]:
    if not sets.found:
        yield Text("Of which sets one is enough was not found out.")
        return
    if not any(sets.found):
        yield Text("What is needed is enough: nothing else has to be used.")
        return
    whole = (
        "every state was tried, and there are no others" if sets.complete else "there may be more"
    )
    words = f"Beside what is needed, each of these is enough, and nothing in it too much; {whole}:"
    yield from paragraph(board.width, Text(), words)
    for number, one in enumerate(sets.found[:_MOST_SETS], start=1):
        head = Text.assemble(_GAP, (f"{number}. ", NOTE))
        yield from paragraph(board.width, head, ", ".join(names(one)) or "nothing else")
    if len(sets.found) > _MOST_SETS:
        yield Text(f"{_GAP}{len(sets.found) - _MOST_SETS} more", FAINT)
