"""Mistakes about claims and assumptions."""

from verifier.source.diagnostic import Diagnostic
from verifier.source.text import Span


def claim_scope(span: Span) -> Diagnostic:
    """A sentence that takes no scope."""
    headline = "this sentence cannot stand inside a scope"
    mend = "say it without the scope: this form, and `from anywhere`, speak of whole runs"
    return Diagnostic("claim-scope", headline, span, mend=mend)


def assume_form(span: Span) -> Diagnostic:
    """A sentence that cannot be assumed."""
    headline = "only what must never happen, or happens within a time, can be assumed"
    mend = "use `never`, `always`, `lasts`, or give it a time: `within 5 s`"
    return Diagnostic("assume-form", headline, span, mend=mend)
