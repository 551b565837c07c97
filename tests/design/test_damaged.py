"""Damaged demo designs, through the whole front end: told what is wrong, or lowered.

Words are dropped, doubled or changed, mostly for others of their sort in the same file, so that
many texts still read and the mistakes lie in names, types, wires and claims. LATCHWORK_DAMAGED=5000
tries as many; how many were tried stands at the end of the tests' output.
"""

import os
import random
import re
from collections import Counter
from collections.abc import Callable

import pytest

from tests.designs.notes import PATHS
from verifier.design import files
from verifier.design.resolve import designs_in, resolve
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.syntax.words import OTHER, TAKEN
from verifier.system.lower import lower

TRIED = int(os.environ.get("LATCHWORK_DAMAGED", "400"))
WORD = re.compile(r"#[^\n]*|\"[^\"\n]*\"|[A-Za-z_]\w*|\d+|->|<->|\.\.|[<>!]=|\s+|.")
ODD = ("0", "1", "99999", "yes", "3 s", "250 ms", "anywhere", "not", "(", "}", ",", "when", "..")


@pytest.mark.parametrize("part", range(4))
def test_no_damaged_design_makes_it_fall(
    part: int, record_property: Callable[[str, object], None]
) -> None:
    dice = random.Random(part)
    found: Counter[str] = Counter()
    for _ in range(TRIED // 4):
        path = dice.choice(PATHS)
        text = damaged(path.read_text(encoding="utf-8"), dice)
        collector = Collector()
        unit = files.of_source(Source(path.name, text), path, collector)
        if unit is None:
            assert collector.failed, text
            found["unreadable"] += 1
            continue
        for block in designs_in(unit):
            design = resolve(block, unit, collector)
            assert design is not None or collector.failed, text
            found["mistaken" if design is None else "sound"] += 1
            if design is not None:
                assert lower(design).questions is not None
    # Enough of them get past the reader for the stages behind it to be tried.
    assert found["mistaken"] + found["sound"] > TRIED // 20, found
    record_property("damaged designs", TRIED // 4)


def damaged(text: str, dice: random.Random) -> str:
    """Return the text with one to three words changed, mostly for others of their sort."""
    words = WORD.findall(text)
    for _ in range(dice.randint(1, 3)):
        solid = [at for at, word in enumerate(words) if word.strip() and word[0] not in "#{}"]
        at = dice.choice(solid)
        alike = [words[other] for other in solid if sort(words[other]) == sort(words[at])]
        match dice.randrange(12):
            case 0:
                words[at] = ""
            case 1:
                words[at] += " " + words[at]
            case 2:
                words[at] = dice.choice(ODD)
            case _:
                words[at] = dice.choice(alike)
        words = [word for word in words if word]
    return "".join(words)


def sort(word: str) -> str:
    """Return what kind of word it is: a name, a word of the language, a number, a sign."""
    if word in TAKEN or word in OTHER:
        return word
    return "name" if word[0].isalpha() else "number" if word[0].isdigit() else "sign"
