"""Reading a design: from a text to a tree, or to every mistake in it.

An LALR(1) parser does the reading (DeRemer 1969; tables by lark). After a mistake it goes on in
"panic mode" (Aho, Lam, Sethi, Ullman, Compilers, 2nd edition, section 4.8.3): what was read of the
statement is dropped, and so is the rest of it, up to where `verifier.syntax.repair` sees the next.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache

import lark
from lark.lexer import Token
from lark.parsers.lalr_interactive_parser import InteractiveParser

from verifier.source.diagnostic import Collector, Diagnostic
from verifier.source.shipped import shipped_text
from verifier.source.text import Source, Span
from verifier.syntax import mistakes, tree
from verifier.syntax.build import LIMIT, Piece, build
from verifier.syntax.explain import explain

_MOST_BRACKETS = 100
_MOST_MISTAKES = 20

# Letters that hide themselves or turn the direction of writing (Boucher, Anderson, "Trojan Source",
# 2021). Joiners (U+200C, U+200D) are left in peace, since texts in some scripts need them.
_HIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\xad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f"
    "\ufeff\ufff9-\ufffb\ud800-\udfff\U000e0000-\U000e007f]|\r(?!\n)"
)
_OWN = re.compile(r"\b(?:in|out)[ \t]+([A-Za-z_]\w*)|[(,]\s*([A-Za-z_]\w*)[ \t]*:")
_OPENING = {"LPAR": 1, "LSQB": 1, "LBRACE": 1, "RPAR": -1, "RSQB": -1, "RBRACE": -1}
_DECLARING = {
    "CLAIM",
    "DESIGN",
    "FOR",
    "FREE",
    "KEEP",
    "KIND",
    "LET",
    "ROOMS",
    "SETTING",
    "WALKER",
}
_PORT = {"IN", "OUT"}


def parse(source: Source, collector: Collector) -> tree.File | None:
    """Read a text; every mistake goes to the collector.

    Returns:
        The tree, or None if there was a mistake.
    """
    before = len(collector.found)
    text = _HIDDEN.sub(" ", source.text)
    for found in list(_HIDDEN.finditer(source.text))[:_MOST_MISTAKES]:
        collector.add(mistakes.stray_letter(Span(source, found.start(), found.end())))
    pieces = _Reader(source, collector, _grammar().parse_interactive(text), text).read()
    if pieces is None or len(collector.found) > before:
        return None
    made = build(pieces, source)
    if isinstance(made, Span):
        collector.add(mistakes.too_deep(made, LIMIT))
        return None
    return made


@cache
def _grammar() -> lark.Lark:
    return lark.Lark(
        shipped_text("design.lark"),
        parser="lalr",
        lexer="contextual",
        start="file",
        propagate_positions=True,
        maybe_placeholders=True,
    )


class _StopError(Exception):
    """Reading can't go on here; what is said of it."""

    def __init__(
        self, at: int, diagnostic: Diagnostic | None = None, *, final: bool = False
    ) -> None:
        super().__init__()
        self.at = at
        self.diagnostic = diagnostic
        self.final = final


@dataclass(slots=True)
class _Reader:
    """One run over one text."""

    source: Source
    collector: Collector
    parser: InteractiveParser
    text: str
    own: set[str] = field(init=False)
    tokens: list[Token] = field(default_factory=list)
    depth: int = 0
    mistakes: int = 0
    resumed: int = -1

    def __post_init__(self) -> None:
        """Collect the words that the file gives to ports and parameters."""
        self.own = {one for pair in _OWN.findall(self.text) for one in pair}

    def read(self) -> Iterable[Piece] | None:
        """Read to the end, or to where going on makes no sense."""
        while True:
            try:
                return self._run()
            except lark.UnexpectedInput as wrong:
                stop = _StopError(wrong.pos_in_stream or 0)
                if isinstance(wrong, lark.UnexpectedToken) and wrong.token.type == "$END":
                    stop = _StopError(len(self.text), final=True)
            except _StopError as wrong:
                stop = wrong
            self.collector.add(stop.diagnostic or explain(self._misfit(stop.at)))
            self.mistakes += 1
            if stop.final or self.mistakes >= _MOST_MISTAKES or not self._go_on(stop.at):
                return None

    def _run(self) -> Iterable[Piece]:
        for token in self.parser.lexer_thread.lex(self.parser.parser_state):
            self._look(token)
            self._feed(token)
            self.tokens.append(token)
        end = Token("$END", "", len(self.text))
        found = self._feed(end)
        return found.iter_subtrees()
