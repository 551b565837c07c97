"""Which statement a mistake is in: where it begins, and where reading goes on after it.

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


def without_statement(text: str, at: int, *, final: bool) -> str:
    """Return the text with the statement that a mistake is in blanked out, lines kept.

    Where nothing can be read after it, all the rest is blanked out, and the blocks are closed.
    """
    start = _beginning(text, at)
    column = start - text.rfind("\n", 0, start) - 1
    depth = _depth(text, start)
    found = None
    if not final:
        found = resumption(text, max(at, start + 1), column=column, in_block=depth > 0)
    if found is None:
        return _blank(text, start, len(text)) + "}" * depth
    closing = "}" * depth if found.of_file else ""
    cut = _blank(text, start, found.offset)
    return cut[: found.offset - len(closing)] + closing + cut[found.offset :]


def _beginning(text: str, at: int) -> int:
    """Return where the statement that a mistake is in begins; its first line may be far above."""
    line = text.rfind("\n", 0, at) + 1
    if not text[line:at].strip() and line:
        # What stands first in its line does not fit: the statement before it is not finished.
        line = text.rfind("\n", 0, line - 1) + 1
    while True:
        inner = re.compile(r"[ \t]*").match(text, line)
        begin = inner.end() if inner else line
        if line == 0 or _STATEMENT.match(text, begin) or _NAMED.match(text, begin):
            return begin
        if _HEAD.match(text, begin):
            brace = text.rfind("{", begin, at)
            return at if brace < 0 else brace + 1
        line = text.rfind("\n", 0, line - 1) + 1


def _depth(text: str, at: int) -> int:
    depth = 0
    for found in _SKIM.finditer(text, 0, at):
        depth = max(0, depth + {"{": 1, "}": -1}.get(found.group(), 0))
    return depth


def _blank(text: str, start: int, end: int) -> str:
    blank = re.sub(r"[^\n]", " ", text[start:end])
    return text[:start] + blank + text[end:]
