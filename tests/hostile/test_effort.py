"""Designs that are legal and hard: what `--effort` and `--memory` bound stays bounded."""

from collections.abc import Mapping
from pathlib import Path

from tests.hostile.fence import Fence, fenced

SECONDS = 40
"""Of computing, for effort 0.1: start-up, reading, lowering, and all engines on all claims."""

MEGABYTES = 950
"""What is read comes on top of the 256 of `--memory`, and what each process has to spare (512)."""

LITS = ", ".join(f"f{n}" for n in range(30))

HARD: Mapping[str, str] = {
    "thirty timers of their own": "".join(
        f"h{n} : button(holds: {n + 3} s)\nf{n} : off_delay({7 * n + 1} s)\nm{n} : supply(2)\n"
        f"m{n} -> f{n}\nh{n} -> f{n}.start\n"
        for n in range(30)
    )
    + f"claim few: never at least 29 of ({LITS})\n"
    f"claim all_of_them: always possible all of ({LITS})\n"
    f"claim all_end: at least 15 of ({LITS}) leads to none of ({LITS})",
    "a count of two hundred": "".join(f"h{n} : lever\n" for n in range(10))
    + "keep n : count 0..200\nn becomes n + 1 when h1.out and n < 200\n"
    "claim small: never n > 199\nclaim back: n = 0 returns",
    "a house of twenty rooms": f"rooms {', '.join(f'r{n}' for n in range(20))}\n"
    + "".join(f"passage r{n} <-> r{(7 * n + 1) % 20} takes 2 s .. 9 s\n" for n in range(20))
    + "walker w[1..3] starts in r0\n"
    "claim apart: never w[1] is in r7 and w[2] is in r8 and w[3] is in r9",
    "a sum of free counts": "".join(f"free f{n} : count 0..60\n" for n in range(5))
    + f"claim c: never {' + '.join(f'f{n}' for n in range(5))} = 299",
}


def test_effort_and_memory_bound_hard_designs(tmp_path: Path) -> None:
    for name, body in HARD.items():
        (tmp_path / f"{name}.latch").write_text(f"design a {{\n{body}\n}}\n", encoding="utf-8")
    options = ("--effort", "0.1", "--memory", "256", "--jobs", "1")
    calls = {name: ["check", f"{name}.latch", *options] for name in HARD}
    found = fenced(calls, tmp_path, Fence(seconds=SECONDS, patience=200))
    wrong = {
        name: (ended.status, ended.seconds, ended.megabytes, ended.err[:400])
        for name, ended in found.items()
        if ended.status not in (0, 1, 3) or ended.megabytes > MEGABYTES
    }
    assert not wrong
