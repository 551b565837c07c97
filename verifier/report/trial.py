"""How hard a puzzle is, on a few lines."""

from collections.abc import Iterator

from rich.text import Text

from verifier.puzzle.player import interval
from verifier.puzzle.route import Routed
from verifier.puzzle.trial import Trial
from verifier.report.clock import Clock
from verifier.report.counts import count_of
from verifier.report.letters import padded, shown
from verifier.report.look import BROKEN, FAINT, STRONG, Board
from verifier.report.paragraph import paragraph
from verifier.report.route import verdict

_GAP = "  "
_NAME = len("fewest moves")


def write_trial(board: Board, found: Trial) -> None:
    """Print how hard a goal is, or why there is no way to it."""
    for line in _report(board, found):
        line.rstrip()
        board.console.print(line)


def _report(board: Board, found: Trial) -> Iterator[Text]:
    design, clock = found.goal.system.design, Clock(found.goal.system.design.tick_ns)
    facts = f"{shown(design.file)}, tick {clock.span(1)}"
    head = Text.assemble((f"{shown(design.name)}: ", STRONG), (shown(found.goal.words), STRONG))
    yield head.append(f"{_GAP}{facts}", FAINT)
    if found.quickest.none:
        for sentence in verdict(found.quickest):
            yield from paragraph(board.width, Text(""), sentence, BROKEN)
        return
    yield Text()
    for name, words in _lines(found, clock):
        head = Text.assemble(_GAP, (padded(name, _NAME), STRONG), _GAP)
        yield from paragraph(board.width, head, words)
    if found.games is not None and found.games.played:
        yield Text()
        yield from paragraph(board.width, Text(_GAP), model(found, clock))


def _lines(found: Trial, clock: Clock) -> Iterator[tuple[str, str]]:
    quickest, fewest = found.quickest.route, found.fewest.route
    if quickest is not None and fewest is not None:
        span = clock.span(quickest.tick)
        yield "quickest", f"{span}, with {count_of(quickest.moves, 'move')}{_sure(found.quickest)}"
        words = f"{fewest.moves}, in {clock.span(fewest.tick)}{_sure(found.fewest)}"
        yield "fewest moves", words
    else:
        yield "quickest", f"not known: {found.quickest.outcome.reason}"
    yield "space", size(found)
    yield from _games(found, clock)


def _sure(found: Routed) -> str:
    """Return how sure that is, and how many such ways there are."""
    if not found.best:
        return "; the best that was found"
    others = found.others
    ways = "" if others is None or others.count is None else f", {count_of(others.count, 'way')}"
    return f"{ways}; {'proved' if found.proved else 'every state was tried'}"


def size(found: Trial) -> str:
    """Return how large the space is."""
    if found.size is None:
        return "too large to be counted"
    matter = "matters" if found.size.states == 1 else "matter"
    states = f"{count_of(found.size.states, 'state')} that {matter}"
    if found.size.situations == found.size.states:
        return states
    return f"{states}, {count_of(found.size.situations, 'situation')} but for the timers"


def _games(found: Trial, clock: Clock) -> Iterator[tuple[str, str]]:
    games = found.games
    if games is None or not games.played:
        return
    met, within = len(games.met), clock.span(found.habits.within)
    low, high = interval(met, games.played)
    share = f"{100 * met / games.played:.1f} % ({100 * low:.1f} % .. {100 * high:.1f} %)"
    words = f"{share} get through within {within}: {met:,} of {count_of(games.played, 'game')}"
    if met:
        words += f"; half of those by {clock.span(sorted(games.met)[(met - 1) // 2])}"
    yield "at random", words


def model(found: Trial, clock: Clock) -> str:
    """Return who plays, and what the figures mean."""
    every, holds = (_about(one, clock) for one in (found.habits.every, found.habits.holds))
    return (
        f"Who plays at random acts every {every} on average, at any tick as likely as at any"
        " other, draws from what makes a difference just then, and lets go of a press after"
        f" {holds} on average. In brackets: the 95 % interval (Wilson)."
    )


def _about(ticks: float, clock: Clock) -> str:
    return clock.span(max(1, round(ticks)))
