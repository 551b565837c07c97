"""Morse code: ITU-R M.1677-1 (from memory).

A dash is three dots long; a dot's time lies between the signals of a letter, three between letters,
seven between words. So PARIS, the word by which speed is told, takes 50 dots with the space after
it; a speed of 12 words a minute is a dot of 100 ms.
"""

import pytest

from tests.outside.desk import broken, lit, loop, rhythm

CODE = {"A": ".-", "I": "..", "O": "---", "P": ".--.", "R": ".-.", "S": "...", "E": ".", "T": "-"}

# A drum presses a key, a place of its rim each 100 ms; what is heard is counted, up to 3 and to 7.
DESIGN = """
design key {
  tick 100 ms
  keep at: count 0 .. LAST
  at becomes 0 when at = LAST, at + 1
  let sounds = LIVE
  keep heard: count 0 .. 3
  keep quiet: count 0 .. 7
  heard becomes 0 when not sounds, heard + 1 when heard < 3
  quiet becomes 0 when sounds, quiet + 1 when quiet < 7
  claim dot_or_dash: sounds lasts 1 tick .. 3 ticks
  claim no_two: never not sounds and heard = 2
  claim spaces: never sounds and (quiet = 2 or quiet > 3 and quiet < 7)
  claim word_space: sounds returns within 7 ticks
}
"""


def keyed(word: str) -> str:
    """Return a word with the space after it, dot by dot."""
    letters = [
        ".".join({".": "#", "-": "###"}[signal] for signal in CODE[letter]) for letter in word
    ]
    return "...".join(letters) + "......."


def drum(row: str) -> str:
    live = " or ".join(f"at = {at}" for at, mark in enumerate(row) if mark == "#")
    return DESIGN.replace("LAST", str(len(row) - 1)).replace("LIVE", live)


@pytest.mark.parametrize(("word", "dots"), [("PARIS", 50), ("SOS", 34), ("E", 8), ("T", 10)])
def test_a_word_lasts_as_long_as_its_signals(word: str, dots: int) -> None:
    found = rhythm(drum(keyed(word)))
    assert loop(found)[1] == dots
    lengths = [end - start for start, end in lit(found, "sounds")]
    assert lengths.count(1) == sum(CODE[letter].count(".") for letter in word)
    assert lengths.count(3) == sum(CODE[letter].count("-") for letter in word)
    assert broken(drum(keyed(word))) == set()


def test_slips_of_the_drum_are_found() -> None:
    right = keyed("SOS")
    assert broken(drum(right[:-1])) == {"spaces"}
    assert broken(drum(right.replace("###", "##.", 1) + ".")) == {"no_two", "spaces", "word_space"}
    assert broken(drum(right.replace("###", "####", 1))) == {"dot_or_dash"}
