"""Certificates made by someone who wishes harm: refused or left unjudged, in bounded time.

Nothing in a certificate is an order to a solver: it holds words and numbers of its own form, and
what would be one in SMT-LIB 2.6 (`exit`, `set-option`, `include`) is a line that cannot be read.
"""

import re
from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.cli.call import call
from tests.hostile.fence import Fence, fenced
from tests.hostile.guard import steers
from tests.hostile.tries import WORKING

MEGABYTES = 400
SECONDS = 12
"""What `recheck --within 2` may compute for one certificate, reading and start-up included."""

BIG = "9" * 15
STILL = "step 1 choose 0 0 draw 0 0 0 0 0\n"
"""A tick in which nobody does anything, in the numbers of the design of the tries."""


@pytest.fixture(scope="module")
def genuine(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, str]]:
    """Return a folder with a design in it, and the certificates of its claims."""
    folder = tmp_path_factory.mktemp("garden")
    path = folder / "garden.latch"
    path.write_text(WORKING, encoding="utf-8")
    assert call("check", str(path), "--certificates", str(folder / "own")).exit_code == 1
    found = {one.name.split(".")[1]: one.read_text("utf-8") for one in (folder / "own").iterdir()}
    return folder, {name: text.replace('"../', '"') for name, text in found.items()}


def nodes(lines: str, root: int) -> str:
    return f"proof bad invariant 1\nnode 2 register 0\n{lines}root {root}\n"


# What stands in place of the proof that a claim holds for ever; none shows it.
PROOFS: Mapping[str, str] = {
    "nothing": "",
    "ticks without end": f"proof bad invariant {BIG}\nroot 1\n",
    "sixty-four ticks": "proof bad invariant 64\nnode 2 register 0\nroot 2\n",
    "jumps without end": f"proof bad jumps {BIG} until {BIG}\n",
    "many jumps": "proof bad jumps 300\n",
    "a run without end": f"proof bad run\nstep {BIG} choose 0 0 draw 0 0 0 0 0\n",
    "a run of many steps": f"proof bad run\n{STILL * 50_000}",
    "a circle without end": f"proof bad circle 0\nstep {BIG} choose 0 0 draw 0 0 0 0 0\n",
    "onward without end": f"proof bad run\n{STILL}onward 0\nstep {BIG} choose 0 0 draw 0 0 0 0 0\n",
    "a start out of range": f"proof bad run\nstart 1111 {BIG} {BIG} 0 0 0\n{STILL}",
    "a choice out of range": f"proof bad run\nstep 1 choose 99 {BIG} draw {BIG} 0 0 0 0\n",
    "a plan without end": f"proof goal plan {BIG}\nact {BIG} choose 0 0\nroot 1\n",
    "a certain way without end": f"proof goal certain {BIG}\n{STILL}root 1\n",
    "patience without end": f"proof waiting patience {BIG}\nroot 1\n",
    "many states": "proof bad list\n"
    + "".join(f"state {n} {n % 16:04b} {n} 0 0 0 0\n" for n in range(30_000)),
    "many nodes": nodes("".join(f"node {n} not {n % 2}\n" for n in range(3, 100_000)), 2),
    "deep nodes": nodes("".join(f"node {n} not {n - 1}\n" for n in range(3, 1_500)), 2),
    "doubled nodes": nodes(
        "node 3 register 1\n"
        + "".join(
            f"node {2 * n} and {2 * n - 2} {2 * n - 1}\n"
            f"node {2 * n + 1} or {2 * n - 2} {2 * n - 1}\n"
            for n in range(2, 300)
        ),
        599,
    ),
    "a wide node": nodes(f"node 3 and {'2 ' * 200_000}\n", 3),
    "a register that is not there": "proof bad invariant 1\nnode 2 register 999\nroot 2\n",
    "a timer that is not there": f"proof bad invariant 1\nnode 2 above 99 {BIG}\nroot 2\n",
    "a gap without end": f"proof bad invariant 1\nnode 2 gap 0 1 -{BIG}\nroot 2\n",
    "many proofs": "proof bad invariant 1\nroot 1\n" * 50_000,
    "exit": "(exit)\n",
    "an option": "(set-option :produce-models true)\n",
    "a file": '(include "/etc/passwd")\n',
    "exit in a node": "proof bad invariant 1\nnode 2 register 0) (exit\nroot 2\n",
    "exit for a node": "proof bad invariant 1\nnode 2 and (exit)\nroot 2\n",
    "brackets": "(" * 1_000_000 + "\n",
    "a long line": "x" * 5_000_000 + "\n",
}

# What is changed in a head, and into what.
HEADS: Mapping[str, tuple[str, str]] = {
    "another hash": (r"system \w+", f"system {'0' * 64}"),
    "no hash": (r"system \w+", "system (exit)"),
    "another tick": (r"tick \d+", f"tick {BIG}"),
    "a tick without end": (r"tick \d+", f"tick {'9' * 5_000}"),
    "a device": (r'file "[^"]*"', 'file "../../../../../../../../dev/zero"'),
    "the root": (r'file "[^"]*"', 'file "/etc/passwd"'),
    "a drive": (r'file "[^"]*"', r'file "C:\\\\x"'),
    "half a letter": (r'file "', r'file "\\ud800'),
    "nothing in a path": (r'file "', r'file "\\u0000'),
    "a long path": (r'file "', f'file "{"a" * 5_000}'),
    "an escape for a claim": (r'claim "[^"]*"', r'claim "\\u001b]52;c;x\\u0007\\u202e"'),
    "an escape for a design": (r'design "[^"]*"', r'design "\\u001b[2J"'),
    "an escape for a setting": ("system", r'set "\\u001b[2J" "\\u001b[2J"' + "\nsystem"),
    "brackets for a setting": ("system", f'set "stay" "{"(" * 5_000}"\nsystem'),
    "many settings": ("system", "".join(f'set "a{n}" "1"\n' for n in range(20_000)) + "system"),
    "backslashes": ('claim "', 'claim "' + "\\\\" * 400_001),
    "another version": ("certificate 1", f"certificate {'9' * 5_000}"),
}


def test_no_proof_takes_long_or_is_believed(genuine: tuple[Path, dict[str, str]]) -> None:
    folder, own = genuine
    head = own["rests"].partition("proof ")[0]
    for name, proof in PROOFS.items():
        (folder / f"{name}.x").write_text(f"{head}{proof}end\n", encoding="utf-8")
    calls = {name: ["recheck", f"{name}.x", "--within", "2"] for name in PROOFS}
    assert not wrong(folder, calls, {1, 2, 3})


def test_no_head_takes_long_or_is_believed(genuine: tuple[Path, dict[str, str]]) -> None:
    folder, own = genuine
    for name, (old, new) in HEADS.items():
        text = re.sub(old, new, own["rests"], count=1)
        assert text != own["rests"]
        (folder / f"{name}.x").write_text(text, encoding="utf-8")
    (folder / "bytes.x").write_bytes(b"latchwork certificate 1\n\xff\xfe\0")
    (folder / "large.x").write_bytes(own["rests"].encode() + b"#" * (65 << 20))
    (folder / "design.x").write_text(WORKING, encoding="utf-8")
    names = (*HEADS, "bytes", "large", "design")
    assert not wrong(folder, {name: ["recheck", f"{name}.x"] for name in names}, {2})


def wrong(folder: Path, calls: Mapping[str, list[str]], due: set[int]) -> dict[str, object]:
    found = fenced(calls, folder, Fence(seconds=SECONDS))
    return {
        name: (ended.status, (ended.err or ended.out)[:300], ended.seconds, ended.megabytes)
        for name, ended in found.items()
        if ended.status not in due or ended.megabytes > MEGABYTES or steers(ended.out + ended.err)
    }
