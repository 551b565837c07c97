"""Shows what was measured: one table a family, then which goals are met."""

from collections.abc import Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table

from tests.bench.goals import Row, summary

WORST = 5
"""So many rows are named beneath a goal that is missed."""


def show_family(console: Console, family: str, rows: Sequence[Row]) -> None:
    """Print the rows of one family."""
    table = Table(title=family, title_justify="left", box=SIMPLE_HEAD, padding=(0, 1, 0, 0))
    for name in ("size", "claim", "verdict", "engine"):
        table.add_column(name, overflow="fold")
    ticks = sorted({row.coarse.tick for row in rows}, reverse=True)
    coarse = "/".join(f"{tick / 1000:g}" for tick in ticks)
    for name in (f"s at {coarse} s", "at 10 ms", "ratio", "MB"):
        table.add_column(name, justify="right")
    shown: str | None = None
    for row in rows:
        size = row.garden.size
        table.add_row("" if size == shown else size, *_cells(row))
        shown = size
    console.print(table)


def _cells(row: Row) -> list[str]:
    coarse, fine = row.coarse, row.fine
    ratio = f"{row.ratio:.2f}"
    return [
        row.claim,
        _verdict(row),
        " / ".join(dict.fromkeys((coarse.engine, fine.engine))),
        _time(coarse.seconds),
        _time(fine.seconds),
        ratio if row.alike else f"[red]{ratio}[/red]",
        f"{max(coarse.memory, fine.memory):.0f}",
    ]


def _verdict(row: Row) -> str:
    words = " / ".join(dict.fromkeys((row.coarse.said, row.fine.said)))
    known = row.garden.verdicts[row.claim].value
    return words if row.right else f"[red]{words}[/red] (known: {known})"


def _time(seconds: float) -> str:
    return f"{seconds:.2f}" if seconds < 2 else f"[red]{seconds:.2f}[/red]"


def show_goals(console: Console, rows: Sequence[Row]) -> bool:
    """Print which goals are met; return whether all are."""
    all_met = True
    for goal, tried, missed in summary(rows):
        all_met &= not missed
        sign = "[red]missed[/red]" if missed else "[green]met[/green]   "
        console.print(f"{sign} {goal.words} ({tried - len(missed)} of {tried})")
        for row in missed[:WORST]:
            console.print(
                f"         {row.name}: {row.coarse.seconds:.2f} s, {row.fine.seconds:.2f} s"
            )
        if len(missed) > WORST:
            console.print(f"         and {len(missed) - WORST} more")
    return all_met
