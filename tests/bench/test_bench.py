"""The bench runs, shows what it measured, and tells a goal that is missed from one that is met."""

from dataclasses import replace
from io import StringIO

from rich.console import Console

from tests.bank.timers import ring
from tests.bench.__main__ import main
from tests.bench.goals import GOALS, Row, summary
from tests.bench.measure import Measured, agrees
from tests.bench.table import show_goals
from verifier.verdict.answer import Outcome, Reach, Verdict


def paper() -> Console:
    return Console(file=StringIO(), width=100, color_system=None)


def shown(console: Console) -> str:
    assert isinstance(console.file, StringIO)
    return console.file.getvalue()


def test_a_small_family_is_measured_and_shown() -> None:
    console = paper()
    wish = ["two timers in a loop", "--repeats", "1", "--claim", "by_turns", "--jobs", "1"]
    main(wish, console)
    text = shown(console)
    rows = [line.split() for line in text.splitlines() if " by_turns " in f" {line} "]
    assert len(rows) == 2
    assert "holds" in rows[0]
    assert "fails" in rows[1]
    assert "each claim gets its known verdict, for ever, at both ticks (2 of 2)" in text


def measured(tick: int, seconds: float, *, right: bool = True, more: float = 0.0) -> Measured:
    return Measured(tick, "holds", right, "walk", seconds + more, seconds, 50.0)


def row(coarse: float, fine: float) -> Row:
    return Row(ring(8), "one_runs", measured(1000, coarse), measured(10, fine))


def missed(*rows: Row) -> set[str]:
    return {goal.words for goal, _, found in summary(rows) if found}


RIGHT, SOON, ALIKE = (goal.words for goal in GOALS[:3])


def test_goals_are_met_and_missed() -> None:
    good = row(1.0, 1.4)
    assert missed(good) == set()
    assert missed(good, row(1.0, 1.6)) == {ALIKE}
    assert missed(row(1.6, 1.0)) == {ALIKE}
    assert missed(row(0.001, 0.09)) == set()
    assert missed(row(1.9, 2.1)) == {SOON}
    assert missed(replace(good, fine=measured(10, 1.4, more=0.5))) == set()
    assert missed(replace(good, fine=measured(10, 1.4, more=0.7))) == {SOON}
    assert missed(replace(good, fine=measured(10, 1.0, right=False))) == {RIGHT, SOON}


def test_a_goal_that_is_missed_is_told_with_the_slowest_first() -> None:
    console = paper()
    assert not show_goals(console, [row(1.0, 2.5), row(1.0, 3.5)])
    lines = shown(console).splitlines()
    place = next(n for n, line in enumerate(lines) if SOON in line)
    assert lines[place].startswith("missed")
    assert "3.50 s" in lines[place + 1]
    assert show_goals(paper(), [row(1.0, 1.0)])


def test_a_verdict_counts_only_when_it_goes_all_the_way() -> None:
    assert agrees(Outcome(Verdict.HOLDS, Reach.FOREVER), Verdict.HOLDS)
    assert not agrees(Outcome(Verdict.HOLDS, Reach.UP_TO, 100), Verdict.HOLDS)
    assert not agrees(Outcome(Verdict.HOLDS, Reach.FOREVER, fault=True), Verdict.HOLDS)
    assert not agrees(Outcome(Verdict.UNKNOWN), Verdict.HOLDS)
