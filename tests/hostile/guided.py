"""Inputs chosen by what they reach: `python -m tests.hostile.guided --seconds N --seed S`.

atheris (libFuzzer for Python) keeps each input that reaches code which none before it reached, and
changes those further; a find ends it and is written to a file here. atheris is no part of the
`test` extra, since it has wheels for few versions of Python: where it is missing the command says
how to get it. Source of the method: the documentation of libFuzzer (LLVM).
"""

import argparse
import importlib
import sys
import tempfile
from importlib.util import find_spec
from pathlib import Path
from typing import Any

_READERS = (
    "verifier.syntax.parse",
    "verifier.syntax.explain",
    "verifier.design.files",
    "verifier.design.resolve",
    "verifier.verdict.certificate_reader",
)


def guided(seconds: int, seed: int, runs: int) -> int:
    """Let atheris try for so long; return the exit status."""
    if find_spec("atheris") is None:
        sys.stderr.write("tests.hostile.guided needs atheris: pip install atheris\n")
        return 2
    atheris: Any = importlib.import_module("atheris")
    with atheris.instrument_imports(include=["verifier"]):
        for name in _READERS:
            importlib.import_module(name)
    # Only now, so that what they load is watched.
    from tests.hostile.guard import in_time
    from tests.hostile.texts import corpus
    from tests.hostile.tries import SORTS, certificates

    def once(data: bytes) -> None:
        sort = "certificates" if data[:1] == b"c" else "words"
        with in_time():
            SORTS[sort].take(data[1:].decode("utf-8", "replace"))

    with tempfile.TemporaryDirectory() as folder:
        seeds = [("c", one) for one in certificates()] + [("d", one) for one in corpus()]
        for number, (sort, text) in enumerate(seeds):
            Path(folder, f"{sort}{number}").write_bytes(f"{sort}{text}".encode())
        limits = [f"-max_total_time={seconds}", f"-seed={seed + 1}", f"-runs={runs}"]
        limits += ["-max_len=3000", "-rss_limit_mb=2000", "-timeout=60"]
        atheris.Setup([sys.argv[0], *limits, folder], once)
        atheris.Fuzz()
    return 0


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.hostile.guided", description=__doc__)
    parser.add_argument("--seconds", type=int, default=600)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--runs", type=int, default=-1, help="no more tries than this; -1: any")
    given = parser.parse_args()
    sys.exit(guided(given.seconds, given.seed, given.runs))
