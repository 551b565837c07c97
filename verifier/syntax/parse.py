"""Reading a design: from a text to a tree, or to every mistake in it.

An LALR(1) parser does the reading (DeRemer 1969; tables by lark). A mistake is told, the statement
that holds it is blanked out, and the text is read again, so that one run finds the mistakes of
several statements; `verifier.syntax.repair` sees where a statement begins and ends.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import cast

import lark
from lark.lexer import Token
from lark.parsers.lalr_interactive_parser import InteractiveParser

from verifier.source.diagnostic import Collector
from verifier.source.shipped import shipped_text
from verifier.source.text import Source, Span
from verifier.syntax import mistakes, tree
from verifier.syntax.build import LIMIT, Piece, build
from verifier.syntax.explain import Misfit, explain
from verifier.syntax.repair import without_statement
from verifier.syntax.tables import cached_tables
from verifier.syntax.words import TAKEN

_MOST_BRACKETS = 100
_MOST_MISTAKES = 20
_OPENING = {"LPAR", "LSQB", "LBRACE"}
_NAME = "NAME"
_CLOSING = {"RPAR", "RSQB", "RBRACE"}

# Letters that hide themselves or turn the direction of writing (Boucher, Anderson, "Trojan Source",
# 2021). Joiners (U+200C, U+200D) are left in peace, since texts in some scripts need them.
_HIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\xad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f"
    "\ufeff\ufff9-\ufffb\ud800-\udfff\U000e0000-\U000e007f]|\r(?!\n)"
)
_OWN = re.compile(r"\b(?:in|out)[ \t]+([A-Za-z_]\w*)|[(,]\s*([A-Za-z_]\w*)[ \t]*:")


def parse(source: Source, collector: Collector) -> tree.File | None:
    """Read a text; every mistake goes to the collector.

    Returns:
        The tree, or None if there was a mistake.
    """
    before = len(collector.found)
    text = _HIDDEN.sub(" ", source.text)
    for found in list(_HIDDEN.finditer(source.text))[:_MOST_MISTAKES]:
        collector.add(mistakes.stray_letter(Span(source, found.start(), found.end())))
    pieces: Iterable[Piece] | None = None
    for _ in range(_MOST_MISTAKES):
        reader = _Reader(source, collector, _grammar().parse_interactive(text), text)
        pieces, stopped = reader.read()
        if stopped is None:
            break
        text = without_statement(text, stopped.at, final=stopped.final)
    if pieces is None or len(collector.found) > before:
        return None
    made = build(pieces, source)
    if isinstance(made, Span):
        collector.add(mistakes.too_deep(made, LIMIT))
        return None
    return made


@cache
def _grammar() -> lark.Lark:
    text = shipped_text("design.lark")
    return cached_tables(text, lark.__version__, lambda: _tables(text), lark.Lark.load)


def _tables(text: str) -> lark.Lark:
    return lark.Lark(
        text,
        parser="lalr",
        lexer="contextual",
        start="file",
        propagate_positions=True,
        maybe_placeholders=True,
    )


@dataclass(frozen=True, slots=True)
class _Stop:
    """Where reading stopped; `final` where what follows cannot be read in any case."""

    at: int
    final: bool = False


@dataclass(slots=True)
class _Reader:
    """One run over one text; `text` is that of the source with broken statements blanked out."""

    source: Source
    collector: Collector
    parser: InteractiveParser
    text: str
    own: set[str] = field(init=False)
    tokens: list[Token] = field(default_factory=list)
    opened: list[Token] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Collect the words that the file gives to ports and parameters."""
        self.own = {one for pair in _OWN.findall(self.text) for one in pair}

    def read(self) -> tuple[Iterable[Piece] | None, _Stop | None]:
        """Read to the end and return the pieces, or where reading stopped, which is then told."""
        try:
            for token in self.parser.lexer_thread.lex(self.parser.parser_state):  # type: ignore[no-untyped-call]
                if not self._look(token):
                    return None, _Stop(token.start_pos or 0, final=True)
                self.parser.feed_token(token)
                self.tokens.append(token)
            last = self.tokens[-1] if self.tokens else None
            found: lark.ParseTree = self.parser.feed_eof(last)  # type: ignore[no-untyped-call]
        except lark.UnexpectedInput as wrong:
            return None, self._told(wrong)
        return cast("Iterable[Piece]", found.iter_subtrees()), None

    def _told(self, wrong: lark.UnexpectedInput) -> _Stop:
        ended = isinstance(wrong, lark.UnexpectedToken) and wrong.token.type == "$END"
        at = len(self.source.text) if ended else int(wrong.pos_in_stream or 0)
        wanted = frozenset(self.parser.accepts())  # type: ignore[no-untyped-call]
        before = tuple(self._span(token) for token in reversed(self.tokens[-4:]))
        opened = self._span(self.opened[-1]) if self.opened else None
        outside = not any(token == "{" for token in self.opened)
        self.collector.add(explain(Misfit(self.source, at, wanted, before, opened, outside)))
        return _Stop(at, final=ended)

    def _span(self, token: Token) -> Span:
        start = token.start_pos or 0
        return Span(self.source, start, token.end_pos or start)

    def _look(self, token: Token) -> bool:
        """Tell what is wrong with a single word; return whether reading may go on after it."""
        if token.type in _OPENING:
            self.opened.append(token)
            if len(self.opened) > _MOST_BRACKETS:
                self.collector.add(mistakes.too_deep(self._span(token), _MOST_BRACKETS))
                return False
        elif token.type in _CLOSING and self.opened:
            self.opened.pop()
        elif token.type == _NAME and token in TAKEN and token not in self.own:
            self.collector.add(mistakes.word_as_name(self._span(token)))
        return self._short_enough(token)

    def _short_enough(self, token: Token) -> bool:
        if token.type in {"NUMBER", "TIME"} and len(token) > mistakes.LONGEST_NUMBER:
            self.collector.add(mistakes.long_number(self._span(token)))
            return False
        if token.type in {"NAME", "MEMBER", "ARGUMENT"} and len(token) > mistakes.LONGEST_NAME:
            self.collector.add(mistakes.long_name(self._span(token)))
            return False
        return True


# --- files ---------------------------------------------------------------------------------------


def read_source(path: Path, collector: Collector) -> Source | None:
    """Read a file as UTF-8; what cannot be read is told, and None returned."""
    try:
        if not path.is_file():
            cause = "it is no file" if path.exists() else "there is no such file"
            collector.add(mistakes.no_file(path, cause))
            return None
        with path.open("rb") as file:
            data = file.read(mistakes.LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        told = isinstance(error, OSError) and error.strerror
        collector.add(mistakes.no_file(path, str(told or "it cannot be opened").lower()))
        return None
    if len(data) > mistakes.LARGEST_FILE:
        collector.add(mistakes.large_file(path))
        return None
    try:
        return Source(str(path), data.decode("utf-8-sig").replace("\r\n", "\n"))
    except UnicodeDecodeError as error:
        collector.add(mistakes.not_utf8(path, data.count(b"\n", 0, error.start) + 1))
        return None
