"""What is said about broken texts, beside the texts: golden/*.txt.

`RENEW_GOLDEN=1 pytest tests/syntax` writes the answers anew; look at the change before you commit.
"""

import os
import re
from pathlib import Path

import pytest

from verifier.source.diagnostic import Collector, Diagnostic
from verifier.source.text import Source
from verifier.syntax.parse import parse

FOLDER = Path(__file__).with_name("golden")
FILES = sorted(FOLDER.glob("*.txt"))
CASE = re.compile(
    r"^=== (?P<name>.*)\n(?P<text>(?:(?!===|---).*\n)*)(?:---\n(?:(?!===).*\n)*)?", re.MULTILINE
)


def told(one: Diagnostic) -> str:
    assert one.span is not None
    place = f"{one.span.line}:{one.span.column}"
    lines = [f"{place} {one.code}: {one.headline}"]
    lines += [f"  | {one.words}"] if one.words else []
    lines += [f"  {label.span.line}:{label.span.column} {label.words}" for label in one.labels]
    lines += [f"  why: {note}" for note in one.notes]
    lines += [f"  mend: {one.mend}"] if one.mend else []
    return "".join(f"{line}\n" for line in lines)


def answered(case: re.Match[str]) -> str:
    """Return a case with what is said about it; a letter may be written as its number."""
    text = re.sub(r"\\u([0-9a-f]{4})", lambda one: chr(int(one[1], 16)), case["text"])
    collector = Collector()
    file = parse(Source("x.latch", text), collector)
    assert (file is None) == bool(collector.found)
    answer = "".join(map(told, collector.found)) or "nothing\n"
    return f"=== {case['name']}\n{case['text']}---\n{answer}"


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_messages(path: Path) -> None:
    kept = path.read_text(encoding="utf-8")
    cases = list(CASE.finditer(kept))
    assert len(cases) == kept.count("===")
    text = "".join(map(answered, cases))
    if os.environ.get("RENEW_GOLDEN"):
        path.write_text(text, encoding="utf-8")
    assert text == path.read_text(encoding="utf-8")


def test_golden_files_are_found() -> None:
    assert {"numbers", "words"} <= {path.stem for path in FILES}
