"""Reading a design: from a text to a tree."""

from functools import cache
import lark
from verifier.source.diagnostic import Collector, Diagnostic
from verifier.source.shipped import shipped_text
from verifier.source.text import Source, Span
from verifier.syntax import tree
from verifier.syntax.build import build


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


def parse(source: Source, collector: Collector) -> tree.File | None:
    """Parse (first cut: one error a file)."""
    try:
        found = _grammar().parse(source.text)
    except lark.UnexpectedInput as wrong:
        at = wrong.pos_in_stream or 0
        span = Span(source, at, min(at + 1, len(source.text)))
        collector.add(Diagnostic("unreadable", "cannot read this", span))
        return None
    made = build(found.iter_subtrees(), source)
    return made if isinstance(made, tree.File) else None
