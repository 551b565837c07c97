"""Lines and branches that were run, added up by folder."""

from collections import Counter
from collections.abc import Mapping
from typing import Any

LEAST = 95.0
"""Of lines and of branches so many in a hundred are run at the least."""

Counts = Mapping[str, Mapping[str, Any]]
"""What coverage.py says of files in its JSON report, by path."""


def table(counts: Counts) -> list[str]:
    """Return the table in Markdown: a row for each folder, and one for all."""
    folders: dict[str, Counter[str]] = {}
    for path, told in counts.items():
        name = "/".join(path.split("/")[:2]) if path.count("/") > 1 else path
        for row in (name, "all"):
            folders.setdefault(row, Counter()).update(_numbers(told))
    rows = sorted(folders.items(), key=lambda row: (row[0] == "all", row[0]))
    return [
        "| folder | lines | run | branches | run |",
        "| --- | --- | --- | --- | --- |",
        *(_row(name, summary) for name, summary in rows),
    ]


def least(counts: Counts) -> float:
    """Return the lesser of the parts of lines and of branches that were run, in a hundred."""
    whole = Counter[str]()
    for told in counts.values():
        whole.update(_numbers(told))
    return min(_part(whole, "covered_lines", "num_statements"), _branches(whole))


def _row(name: str, summary: Mapping[str, float]) -> str:
    lines, branches = summary["num_statements"], summary["num_branches"]
    run = _part(summary, "covered_lines", "num_statements")
    return f"| {name} | {lines} | {run:.1f} % | {branches} | {_branches(summary):.1f} % |"


def _branches(summary: Mapping[str, float]) -> float:
    return _part(summary, "covered_branches", "num_branches")


def _part(summary: Mapping[str, float], some: str, whole: str) -> float:
    return 100.0 * summary[some] / summary[whole] if summary[whole] else 100.0


def _numbers(told: Mapping[str, Any]) -> dict[str, int]:
    names = ("num_statements", "covered_lines", "num_branches", "covered_branches")
    return {name: told["summary"][name] for name in names}
