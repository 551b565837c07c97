"""Mistakes about claims and assumptions."""

from verifier.source.diagnostic import Diagnostic
from verifier.source.text import Span


def claim_scope(span: Span) -> Diagnostic:
    """A sentence that takes no scope."""
    headline = "this sentence cannot stand inside a scope"
    mend = "say it without the scope: this form, and `from anywhere`, speak of whole runs"
    return Diagnostic("claim-scope", headline, span, mend=mend)


def built_in_claim(span: Span, name: str) -> Diagnostic:
    """A claim under the name of one that is asked without being written."""
    mend = f"give this claim another name; `{name}` is asked without it"
    return Diagnostic("twice", f"every design carries a claim `{name}` already", span, mend=mend)


def assume_form(span: Span) -> Diagnostic:
    """A sentence that cannot be assumed."""
    headline = "only what must never happen, or happens within a time, can be assumed"
    mend = "use `never`, `always`, `lasts`, or give it a time: `within 5 s`"
    return Diagnostic("assume-form", headline, span, mend=mend)
