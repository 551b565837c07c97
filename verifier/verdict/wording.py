"""What is told of certificates that cannot be put to the judge: from facts to diagnostics."""

from pathlib import Path

from verifier.source.diagnostic import Diagnostic
from verifier.source.text import Source, Span

_AGAIN = "make it anew: latchwork check --certificates"


def no_certificate(path: Path, why: str) -> Diagnostic:
    """A file of another kind, or of a version that nobody here can read."""
    return Diagnostic(
        "no-certificate",
        f"`{path}` is no certificate that can be read: {why}",
        None,
        mend="name files that `latchwork check --certificates` of this version wrote",
    )


def broken(source: Source, line: int, words: str) -> Diagnostic:
    """A line that is none a certificate has at this place."""
    line = min(line, len(source.starts))
    start = source.starts[line - 1]
    text = source.line_text(line)
    return Diagnostic(
        "broken-certificate",
        "the certificate cannot be read on from here",
        Span(source, start, start + len(text)),
        words,
        notes=("A certificate is written by a program, so something has changed this one since.",),
        mend=_AGAIN,
    )


def stale(path: Path, claim: str, file: Path, what: str) -> Diagnostic:
    """The design is another one now."""
    return Diagnostic(
        "stale-certificate",
        f"`{file}` is no longer what `{path}` is about",
        None,
        notes=(f"What was shown of `{claim}` may still be so, but {what}.",),
        mend=f"{_AGAIN}; or name another file of the design: latchwork recheck --design",
    )
