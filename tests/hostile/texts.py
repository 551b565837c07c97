"""Texts that nobody would write: letters, words and designs at random, each drawn by a dice.

Each maker is given a dice and returns a text; the same dice throws the same text again.
"""

import re
from collections.abc import Callable, Mapping
from functools import cache
from random import Random

import lark

from tests.design.test_damaged import damaged
from tests.hostile.derived import HOLES, file, statements
from tests.repo.tree import ROOT
from verifier.source.codes import codes, page
from verifier.source.shipped import shipped_text

Maker = Callable[[Random], str]

_LETTERS = "ab_01 \t\n\r\"\\#{}()[]:,.=<>+-*%'`;!@$&|~^/?"
# Letters that hide, turn the writing, steer a terminal, take no room or much of it: each is one
# that Unicode TR 36 and UTS 39 or the terminals' ECMA-48 tell of.
_ODD = (
    "\0\x07\x08\x0b\x0c\x1b\x7f\x85\x9b\xa0\xad\u061c\u200b\u200d\u200e\u202e\u2028\u2066\u2069"
    "\ufeff\ufff9\ufffd\U000e0041\u0301\u0430\u0627\u4e00\uff10\u0661\U0001f6aa\ud7ff\ue000"
)
_NUMBERS = ("0", "1", "2", "3", "7", "64", "65", "100", "999", "1000", "10000", "50001", "9" * 18)
_LONG = ("9" * 19, "9" * 400, "a" * 201, "(" * 120, "not " * 250, '"' + "x" * 300 + '"')
_UNITS = ("ms", "s", "min", "h", "ticks", "tick", "m", "sec")
_NAMES = ("a", "b", "x", "feed", "out", "on", "start", "told", "r1", "lamp", "button", "pulse")
_KINDS = ("supply", "tap", "relay", "latch", "door", "button", "lever", "counter", "flasher")

LARGE = 2_000
"""Letters from which on a design on a message's page is left out: to read it takes too long."""


def letters(dice: Random) -> str:
    """Letters at random, odd ones among them."""
    return "".join(dice.choices(_LETTERS + _ODD, k=dice.randrange(60)))


@cache
def _terminals() -> tuple[str, ...]:
    grammar = lark.Lark(shipped_text("design.lark"), parser="lalr", start="file")
    words = []
    for one in grammar.terminals:
        text = one.pattern.value
        if isinstance(one.pattern, lark.lexer.PatternStr):
            words.append(text)
        elif re.fullmatch(r"[a-z]+(\[ \\t\]\+[a-z]+)*\\b", text):
            words.append(text.replace(r"[ \t]+", " ").removesuffix(r"\b"))
    return (*words, "is not", "is in", "is not between", "times in any", "starving allowed:")


def _word(dice: Random) -> str:
    match dice.randrange(12):
        case 0 | 1 | 2:
            return dice.choice(_NAMES)
        case 3:
            return f"{dice.choice(_NUMBERS)} {dice.choice(_UNITS)}"
        case 4:
            return dice.choice(_NUMBERS)
        case 5:
            return f"{dice.choice(_NAMES)}.{dice.choice(_NAMES)}"
        case 6:
            return f"{dice.choice(_NAMES)}[{dice.choice(_NUMBERS)}]"
        case 7:
            return dice.choice((*_KINDS, f"{dice.choice(_NAMES)}:"))
        case _:
            return dice.choice(_terminals())


def soup(dice: Random) -> str:
    """Words of the language at random."""
    words = [_word(dice) for _ in range(dice.randrange(1, 30))]
    if dice.random() < 0.05:
        words.insert(dice.randrange(len(words)), dice.choice(_LONG))
    return dice.choice((" ", "\n")).join(words)


def filled(dice: Random) -> str:
    """Words of the language at random inside a design."""
    return dice.choice(HOLES).format(soup(dice))


@cache
def corpus() -> tuple[str, ...]:
    """Return all small designs that there are: those on the pages of messages, and the demos."""
    found = []
    for code in codes():
        told = page(code)
        assert told is not None
        found += [one for side in (told.broken, told.mended) for _, one in side.files]
    small = [one.decode("utf-8", "replace") for one in found if len(one) < LARGE]
    paths = sorted([*ROOT.glob("designs/**/*.latch"), ROOT / "tests/syntax/sample.latch"])
    return (*small, *small, *small, *(path.read_text(encoding="utf-8") for path in paths))


def words_changed(dice: Random) -> str:
    """A design with some of its words dropped, doubled or changed."""
    return damaged(dice.choice(corpus()), dice)


def letters_changed(dice: Random) -> str:
    """A design with some of its letters dropped, doubled or changed, or cut short."""
    text = dice.choice(corpus())
    for _ in range(dice.randint(1, 6)):
        at = dice.randrange(len(text) + 1)
        end = at + dice.choice((0, 1, 1, 2, 9))
        text = text[:at] + dice.choice(("", letters(dice)[:3], text[at:end] * 2)) + text[end:]
    return text[: dice.randrange(len(text) + 1)] if dice.random() < 0.1 else text


def spliced(dice: Random) -> str:
    """The lines of two designs, mixed."""
    one, other = (dice.choice(corpus()).splitlines() for _ in range(2))
    at, start = dice.randrange(len(one) + 1), dice.randrange(len(other) + 1)
    stop = start + dice.randrange(6)
    return "\n".join([*one[:at], *other[start:stop], *one[at:]])


def repeated(dice: Random) -> str:
    """A design in which one stretch comes many times."""
    text = dice.choice(corpus())
    at = dice.randrange(len(text))
    stretch = text[at : at + dice.randint(1, 40)]
    return text[:at] + stretch * dice.choice((3, 30, 300)) + text[at:]


TEXTS: Mapping[str, Maker] = {
    "letters": letters,
    "words": soup,
    "words in a design": filled,
    "by the grammar": file,
    "statements": statements,
    "words changed": words_changed,
    "letters changed": letters_changed,
    "lines mixed": spliced,
    "stretches repeated": repeated,
}
"""Makers of whole files."""


def value(dice: Random) -> str:
    """What may stand behind `--set NAME=`."""
    match dice.randrange(6):
        case 0:
            return letters(dice)
        case 1:
            return soup(dice)
        case 2:
            return f"{dice.choice(_NUMBERS)} {dice.choice(_UNITS)} .. {dice.choice(_NUMBERS)} s"
        case 3:
            return dice.choice(_LONG)
        case 4:
            return f"3 s }} {soup(dice)} {{"
        case _:
            return f"{dice.choice(_NUMBERS)} {dice.choice(_UNITS)}"


def press(dice: Random) -> str:
    """What may stand behind `--press`."""
    who = dice.choice(("h", "h.hand", "w", "a[1]", "x", letters(dice)))
    to = dice.choice(("", "", " to x", " to live", f" to {soup(dice)}"))
    at = f"{dice.choice((*_NUMBERS, *_LONG))} {dice.choice(_UNITS)}"
    held = dice.choice(("", "", " for 1 s", f" for {dice.choice(_NUMBERS)} h"))
    text = f"{who}{to} at {at}{held}"
    return letters_of(dice, text) if dice.random() < 0.2 else text


def letters_of(dice: Random, text: str) -> str:
    """Return a text with one letter changed."""
    at = dice.randrange(len(text) + 1)
    return text[:at] + letters(dice)[:2] + text[at + 1 :]


def goal(dice: Random) -> str:
    """What may be asked for as a goal."""
    match dice.randrange(5):
        case 0:
            return letters(dice)
        case 1:
            return soup(dice)
        case 2:
            return dice.choice(_LONG)
        case 3:
            return f"yes }} design q {{ {soup(dice)}"
        case _:
            asked = dice.choice(("h", "not h", "someone is in x", "h.out and not h", "fed", "lit"))
            return letters_of(dice, asked) if dice.random() < 0.3 else asked
