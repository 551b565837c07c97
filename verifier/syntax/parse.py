"""Reading a design: from a text to a tree, or to every mistake in it.

An LALR(1) parser does the reading (DeRemer 1969; tables by lark). After a mistake it goes on in
"panic mode" (Aho, Lam, Sethi, Ullman, Compilers, 2nd edition, section 4.8.3): what was read of the
statement is dropped, and so is the rest of it, up to where `verifier.syntax.repair` sees the next.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import cast

import lark
from lark.lexer import Token
from lark.parsers.lalr_analysis import Shift
from lark.parsers.lalr_interactive_parser import InteractiveParser

from verifier.source.diagnostic import Collector, Diagnostic
from verifier.source.shipped import shipped_text
from verifier.source.text import Source, Span
from verifier.syntax import mistakes, tree
from verifier.syntax.build import LIMIT, Piece, build
from verifier.syntax.explain import Misfit, explain
from verifier.syntax.repair import Level, resumption
from verifier.syntax.tables import cached_tables
from verifier.syntax.words import TAKEN

_MOST_BRACKETS = 100
_MOST_OPEN = 2_000  # words that wait for what belongs to them; a tree within `LIMIT` has fewer
_MOST_MISTAKES = 20

# Letters that hide themselves or turn the direction of writing (Boucher, Anderson, "Trojan Source",
# 2021). Joiners (U+200C, U+200D) are left in peace, since texts in some scripts need them.
_HIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\xad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e"
    "\u2060-\u206f\ufeff\ufff9-\ufffb\ud800-\udfff\U000e0000-\U000e007f]|\r(?!\n)"
)
_OWN = re.compile(r"\b(?:in|out)[ \t]+([A-Za-z_]\w*)|[(,]\s*([A-Za-z_]\w*)[ \t]*:")
_BRACKETS = {"LPAR": 1, "LSQB": 1, "LBRACE": 1, "RPAR": -1, "RSQB": -1, "RBRACE": -1}

# Heads put in the place of broken ones, so that their bodies are read all the same.
_FILE_HEAD = (("KIND", "kind"), ("NAME", "x"), ("LBRACE", "{"))
_LOOP_HEAD = (
    ("FOR", "for"),
    ("NAME", "x"),
    ("IN", "in"),
    ("NUMBER", "1"),
    ("RANGE", ".."),
    ("NUMBER", "1"),
    ("LBRACE", "{"),
)
_SCOPES = ("while", "after", "from")
_SENTENCE = re.compile(r"[ \t]*(?:claim\b.*:|assume\b)[ \t]*\S")
_DECLARING = frozenset(
    ["CLAIM", "DESIGN", "FOR", "FREE", "KEEP", "KIND", "LET", "ROOMS", "SETTING", "WALKER"]
)


def parse(source: Source, collector: Collector) -> tree.File | None:
    """Read a text; every mistake goes to the collector.

    Returns:
        The tree, or None if there was a mistake.
    """
    before = len(collector.found)
    text = _HIDDEN.sub(_blank, source.text)
    for found in list(_HIDDEN.finditer(source.text))[:_MOST_MISTAKES]:
        collector.add(mistakes.stray_letter(Span(source, found.start(), found.end())))
    pieces = _Reader(source, collector, text, _grammar().parse_interactive(text)).read()
    if pieces is None or len(collector.found) > before:
        return None
    made = build(pieces, source)
    if isinstance(made, Span):
        collector.add(mistakes.too_deep(made, LIMIT))
        return None
    return made


def _blank(hidden: re.Match[str]) -> str:
    """Put something in the place of a hidden letter that splits no name."""
    text, start, end = hidden.string, hidden.start(), hidden.end()
    before, after = text[max(0, start - 1) : start], text[end : end + 1]
    return "_" if before.isalnum() and after.isalnum() else " "


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


class _StopError(Exception):
    """Reading can't go on at `at`; `final` where what follows can't be read in any case."""

    def __init__(self, at: int, told: Diagnostic | None = None, *, final: bool = False) -> None:
        super().__init__()
        self.at = at
        self.told = told
        self.final = final


@dataclass(slots=True)
class _Reader:
    """One run over one text; `text` is that of the source without hidden letters."""

    source: Source
    collector: Collector
    text: str
    parser: InteractiveParser
    own: set[str] = field(init=False)
    tokens: list[Token] = field(default_factory=list)
    earlier: tuple[list[int], list[object]] = ([], [])  # the parser before the last token
    odd: bool = False  # the last token was wrong by itself; what comes of it is not told
    depth: int = 0
    resumed: int = -1

    def __post_init__(self) -> None:
        """Collect the words that the file gives to ports and parameters."""
        self.own = {one for pair in _OWN.findall(self.text) for one in pair}

    def read(self) -> Iterable[Piece] | None:
        """Read to the end, telling mistakes on the way; None where the end could not be reached."""
        for _ in range(_MOST_MISTAKES):
            try:
                return self._run()
            except lark.UnexpectedInput as wrong:
                ended = isinstance(wrong, lark.UnexpectedToken) and wrong.token.type == "$END"
                at = len(self.text) if ended else wrong.pos_in_stream
                stop = _StopError(at or 0, final=ended)
            except _StopError as wrong:
                stop = wrong
            at = self._rewound(stop.at)
            if stop.told is not None or not self.odd:
                self.collector.add(stop.told or explain(self._misfit(at)))
            if stop.final or not self._go_on(at):
                break
        return None

    def _run(self) -> Iterable[Piece]:
        lexer, state = self.parser.lexer_thread, self.parser.parser_state
        for token in lexer.lex(state):  # type: ignore[no-untyped-call] # lark says no types here
            self._feed(token)
            self.tokens.append(token)
        found = self._feed(Token("$END", "", len(self.text)))
        return cast("Iterable[Piece]", found.iter_subtrees())

    def _feed(self, token: Token) -> lark.ParseTree:
        """Hand a token on; if it doesn't fit, the parser stands again where it stood."""
        state = self.parser.parser_state
        now = list(state.state_stack), list(state.value_stack)
        try:
            found = cast("lark.ParseTree", self.parser.feed_token(token))
            self.odd = self._is_odd(token)
        except (lark.UnexpectedToken, _StopError):
            state.state_stack[:], state.value_stack[:] = now
            raise
        self.earlier = now
        return found

    # --- what a grammar can't say of a token ---

    def _is_odd(self, token: Token) -> bool:
        """Whether a token that fits is wrong all the same; if so, that is told."""
        step = _BRACKETS.get(token.type, 0)
        self.depth += step
        bracketed = step > 0 and self.depth > _MOST_BRACKETS
        if bracketed or len(self.parser.parser_state.state_stack) > _MOST_OPEN:
            place = self._span(token)
            told = mistakes.too_deep(place, _MOST_BRACKETS if bracketed else LIMIT)
            raise _StopError(place.start, told, final=True)
        if token.type in ("NUMBER", "TIME"):
            return self._is_long_number(token)
        if token.type in ("NAME", "MEMBER", "ARGUMENT") and len(token) > mistakes.LONGEST_NAME:
            self.collector.add(mistakes.long_name(self._span(token)))
            return True
        return token.type == "NAME" and token in TAKEN and self._is_misused(token)

    def _is_long_number(self, token: Token) -> bool:
        digits = len(token) - len(token.lstrip("0123456789"))
        if digits <= mistakes.LONGEST_NUMBER:
            return False
        start = self._span(token).start
        self.collector.add(mistakes.long_number(Span(self.source, start, start + digits)))
        return True

    def _is_misused(self, word: Token) -> bool:
        last = self.tokens[-1].type if self.tokens else ""
        if last in ("IN", "OUT") or (word in self.own and last not in _DECLARING):
            return False
        start = word.start_pos or 0
        line = self.text[self.text.rfind("\n", 0, start) + 1 : start]
        if word in _SCOPES and _SENTENCE.match(line) and self._begins_statement():
            # The sentence was over before it, so it was read as the name of the next statement.
            raise _StopError(start, mistakes.scope_behind(self._span(word)))
        if not line.strip():
            # At the start of a line it is meant as a word: what should stand before it is missing.
            raise _StopError(start)
        self.collector.add(mistakes.word_as_name(self._span(word)))
        return True

    def _span(self, token: Token) -> Span:
        start = token.start_pos or 0
        return Span(self.source, start, start + len(token))

    # --- after a mistake ---

    def _accepts(self) -> frozenset[str]:
        return frozenset(self.parser.accepts())  # type: ignore[no-untyped-call] # nor here

    def _begins_statement(self) -> bool:
        """Whether the last token was read as the name that a statement begins with."""
        return {"COLON", "TO", "BECOMES"} <= self._accepts()

    def _rewound(self, at: int) -> int:
        """Take back a name that began a statement inside a line: what doesn't fit is the name."""
        if len(self.tokens) < 2 or not self._begins_statement():  # noqa: PLR2004 - two
            return at
        before, last = self.tokens[-2:]
        between = self.text[self._span(before).end : self._span(last).start]
        if last.type != "NAME" or before.type in ("LBRACE", "RBRACE") or "\n" in between:
            return at
        state = self.parser.parser_state
        state.state_stack[:], state.value_stack[:] = self.earlier
        self.tokens.pop()
        return self._span(last).start

    def _misfit(self, at: int) -> Misfit:
        return Misfit(
            self.source,
            at,
            self._accepts(),
            tuple(self._span(one) for one in self.tokens[-1:-4:-1]),
            self._opened(),
            outside=self.depth == 0,
        )

    def _opened(self) -> Span | None:
        """Find the last bracket that is still open."""
        closed = 0
        for value in reversed(self.parser.parser_state.value_stack):
            step = _BRACKETS.get(value.type, 0) if isinstance(value, Token) else 0
            if step > 0 and closed == 0:
                return self._span(value)
            closed -= step
        return None

    def _go_on(self, at: int) -> bool:
        """Drop the broken statement and what follows of it; False if nothing comes after it."""
        kept = self._level("CLAIM", "RBRACE")
        dropped = self.parser.parser_state.value_stack[(kept or 1) - 1 :]
        repeats = bool(dropped) and isinstance(dropped[0], Token) and dropped[0].type == "FOR"
        found = resumption(
            self.text,
            at if at > self.resumed else at + 1,
            column=self._column(dropped, at),
            in_block=kept is not None,
            of_head=kept is None or repeats,
        )
        if found is None:
            return False
        in_file = found.level is Level.FILE or kept is None
        self._drop((self._level("KIND") if in_file else kept) or 1)
        if found.level is Level.BODY:
            for kind, text in _FILE_HEAD if in_file else _LOOP_HEAD:
                self._feed(Token(kind, text, found.offset - 1))
        lexer = self.parser.lexer_thread.state
        if lexer is not None:
            lexer.line_ctr.char_pos = found.offset
        self.resumed = found.offset
        return True

    def _level(self, *terminals: str) -> int | None:
        """Tell how many states to keep, so that each of the terminals could begin something."""
        state = self.parser.parser_state
        closed = 0
        for kept in range(len(state.state_stack), 0, -1):
            dropped = state.value_stack[kept - 1 : kept]
            if dropped and isinstance(dropped[0], Token):
                closed -= _BRACKETS.get(dropped[0].type, 0)
            fits = all(self._shifts(state.state_stack[kept - 1], one) for one in terminals)
            if fits and closed <= 0:
                return kept
        return None

    def _shifts(self, state: int, terminal: str) -> bool:
        action = self.parser.parser_state.parse_conf.states[state].get(terminal)
        return action is not None and action[0] is Shift

    def _column(self, dropped: list[object], at: int) -> int:
        """Tell how far in the line stands on which the broken statement begins."""
        start = at
        if dropped:
            first = dropped[0]
            start = getattr(first.meta if isinstance(first, lark.Tree) else first, "start_pos", at)
        line = self.text[self.text.rfind("\n", 0, start) + 1 :]
        return len(line) - len(line.lstrip(" \t"))

    def _drop(self, kept: int) -> None:
        state = self.parser.parser_state
        del state.state_stack[kept:]
        del state.value_stack[kept - 1 :]
        tokens = [one for one in state.value_stack if isinstance(one, Token)]
        self.depth = sum(_BRACKETS.get(one.type, 0) for one in tokens)
        self.tokens.clear()
        self.odd = False


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
