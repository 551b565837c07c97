"""It shares nothing with the verifier but the text of the standard parts, and sees its slips."""

import ast
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.oracles import compare as comparing
from tests.oracles.afresh.placing import STANDARD
from tests.oracles.compare import Disagreement, Tally, compare
from verifier.design import sentences, settle, terms
from verifier.design.model import Relation
from verifier.source.shipped import shipped_text

HERE = Path(__file__).parent
MODULES = [one for one in sorted(HERE.glob("*.py")) if not one.name.startswith("test_")]
ROOT = HERE.parents[2]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_it_names_nothing_of_the_verifier(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    named = {one.module or "" for one in ast.walk(tree) if isinstance(one, ast.ImportFrom)}
    named |= {
        name.name for one in ast.walk(tree) if isinstance(one, ast.Import) for name in one.names
    }
    own = {one for one in named if one.split(".")[0] not in sys.stdlib_module_names}
    assert all(one.startswith(("tests.oracles.afresh", "tests.oracles.truth")) for one in own)


def test_it_runs_without_the_verifier() -> None:
    asked = (
        "import sys\n"
        "from tests.oracles.afresh.asked import truth\n"
        "assert truth('possible press', 'press : button').tick == 0\n"
        "print([one for one in sys.modules if one.split('.')[0] in ('verifier', 'lark', 'z3')])\n"
    )
    command = [sys.executable, "-c", asked]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_it_reads_the_standard_parts_that_the_verifier_reads() -> None:
    assert STANDARD.read_text(encoding="utf-8") == shipped_text("parts.latch")


DESIGN = """
design hedge {
  tolerance 10 %
  free hand: signal
  keep left: timer
  keep tries: count 0 .. 3
  left loads 10 ticks when hand and left = 0 s
  tries becomes tries + 1 when hand starts and tries < 2
  claim long: never left > 10 ticks
  claim rests: left > 0 s lasts at most 11 ticks
  claim third: never tries = 3
  claim twice: hand at most 1 times in any 1 tick
}
"""


def test_without_a_slip_nobody_denies() -> None:
    tally = Tally()
    compare(DESIGN, tally)
    assert tally.oracles["afresh"]["agreed"] == 5


SLIPS: dict[str, tuple[object, str, Callable[..., object]]] = {
    "no tolerance": (settle, "widened", lambda *_: (10, 10)),
    "a tick less": (sentences, "fixed_ticks", lambda *_: 10),
    "at most, not less": (
        terms,
        "related",
        lambda operator, left, right: terms.compare(
            Relation.LESS_EQUAL if operator.value == "<" else Relation.EQUAL,
            left,
            right,
        ),
    ),
    "a claim not asked": (sentences, "_built_in", lambda _: ()),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_in_reading_is_denied_by_this_oracle_alone(
    slip: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The others look at what the verifier read, so they agree with a wrong reading."""
    monkeypatch.setattr(*SLIPS[slip])
    with pytest.raises(Disagreement, match="afresh"):
        compare(DESIGN, Tally())
    monkeypatch.setattr(comparing, "ORACLES", comparing.ORACLES[:-1])
    monkeypatch.setattr(comparing, "looked_at", without_afresh(comparing.looked_at))
    compare(DESIGN, Tally())


def without_afresh(looked_at: Callable[..., comparing.Looked]) -> Callable[..., comparing.Looked]:
    def looked(*given: object) -> comparing.Looked:
        found = looked_at(*given)
        found.afresh = None
        return found

    return looked


def test_what_is_not_known_is_not_agreed_to(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(comparing, "looked_at", without_afresh(comparing.looked_at))
    tally = Tally()
    compare(DESIGN, tally)
    assert tally.designs["not known afresh"] == 1
    assert tally.oracles["afresh"] == {"not decided": 5}
