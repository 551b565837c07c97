"""Where reading goes on after a mistake: at the next statement, brace or block.

The text is only skimmed for words at the starts of lines, braces, texts and comments, so that one
mistake gives one message. Statements that stand further in than the broken one are taken for its
continuation.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum, auto

from verifier.syntax.words import OTHER, TAKEN

_SKIM = re.compile(r'#[^\n]*|"(?:[^"\\\n]|\\.)*"|[{}\n]|\w+|\S', re.DOTALL)
_HEAD = re.compile(r"(?:design|kind)[ \t]+[A-Za-z_]")
STATEMENT = re.compile(
    r"(?:tick|tolerance|setting|let|for|in|out|uses|keep|free|rooms|passage|walker|assume|claim"
    r"|one[ \t]+press|starving[ \t]+allowed)\b"
)
_WORD = re.compile(r"[A-Za-z_]\w*", re.ASCII)

# Words that go on with a statement, wherever they stand.
_INNER = set(TAKEN) | {one.partition(" ")[0] for one in OTHER if " " in one}


class Level(Enum):
    """What begins at the place where reading goes on."""

    FILE = auto()  # a design or kind
    BODY = auto()  # the body of the broken head
    BLOCK = auto()  # a statement, or the end of the block


@dataclass(frozen=True, slots=True)
class Resumption:
    """A place to go on from."""

    offset: int
    level: Level


def resumption(
    text: str, start: int, *, column: int, in_block: bool, of_head: bool
) -> Resumption | None:
    """Find where to go on, at `start` or later; None: nowhere.

    Args:
        text: The whole text.
        start: The place of the error, or the end of what is already skipped.
        column: How far in the broken statement stands, in letters.
        in_block: Whether it stands in a block.
        of_head: Whether it is the head of a block, so that its body may follow.
    """
    depth = 0
    for found, fresh in _skimmed(text, start):
        at, sign = found.start(), found[0]
        if depth == 0 and sign == "}" and in_block:
            return Resumption(at, Level.BLOCK)
        if depth == 0 and sign == "{" and of_head:
            return Resumption(found.end(), Level.BODY)
        depth = max(0, depth + {"{": 1, "}": -1}.get(sign, 0))
        if not fresh or depth:
            continue
        if _HEAD.match(text, at):
            return Resumption(at, Level.FILE)
        if _begins(text, at, column):
            of_head = False
            if in_block:
                return Resumption(at, Level.BLOCK)
    return None


def _skimmed(text: str, start: int) -> Iterator[tuple[re.Match[str], bool]]:
    """Yield words and signs, and whether each is the first of its line."""
    fresh = not text[text.rfind("\n", 0, start) + 1 : start].strip()
    for found in _SKIM.finditer(text, start):
        if found[0] == "\n":
            fresh = True
        else:
            yield found, fresh
            fresh = False


def _begins(text: str, at: int, column: int) -> bool:
    """Whether a statement begins here, that is no more of the broken one."""
    if STATEMENT.match(text, at):
        return True
    word = _WORD.match(text, at)
    stands_out = at - text.rfind("\n", 0, at) - 1 <= column
    return stands_out and word is not None and word[0] not in _INNER
