"""Where reading goes on after a mistake: at the next statement, brace or block.

The text is only skimmed for words at the starts of lines, braces, texts and comments, so that one
mistake gives one message. Statements that stand further in than the broken one are taken for its
continuation.
"""

import re
from dataclasses import dataclass

_SKIM = re.compile(r'#[^\n]*|"(?:[^"\\\n]|\\.)*"|[{}\n]|\w+|\S', re.DOTALL)
_HEAD = re.compile(r"(?:design|kind)[ \t]+[A-Za-z_]")
_STATEMENT = re.compile(
    r"(?:tick|tolerance|setting|let|for|in|out|uses|keep|free|rooms|passage|walker|assume|claim"
    r"|one[ \t]+press|starving[ \t]+allowed)\b"
)
_NAMED = re.compile(
    r"[A-Za-z_]\w*[ \t]*(?:\[[^\]\n]*\][ \t]*)?"
    r"(?::|->|\.[A-Za-z_]|(?:becomes|loads|runs|when)\b)"
)


@dataclass(frozen=True, slots=True)
class Resumption:
    """A place to go on from; `of_file` if a design or kind begins there."""

    offset: int
    of_file: bool


def resumption(text: str, start: int, *, column: int, in_block: bool) -> Resumption | None:
    """Find where to go on, at `start` or later; None: nowhere.

    Args:
        text: The whole text.
        start: The place of the error, or the end of what is already skipped.
        column: How far in the broken statement stands, in letters.
        in_block: Whether it stands in a block.
    """
    depth = 0
    fresh = not text[text.rfind("\n", 0, start) + 1 : start].strip()
    for found in _SKIM.finditer(text, start):
        sign = found.group()
        if sign == "\n":
            fresh = True
            continue
        if depth == 0 and sign == "}" and in_block:
            return Resumption(found.start(), of_file=False)
        depth = max(0, depth + {"{": 1, "}": -1}.get(sign, 0))
        if fresh and depth == 0:
            at = found.start()
            if _HEAD.match(text, at):
                return Resumption(at, of_file=True)
            if in_block and _begins(text, at, column):
                return Resumption(at, of_file=False)
        fresh = False
    return None


def _begins(text: str, at: int, column: int) -> bool:
    """Whether a statement begins here, that is no more of the broken one."""
    if _STATEMENT.match(text, at):
        return True
    return at - text.rfind("\n", 0, at) - 1 <= column and _NAMED.match(text, at) is not None
