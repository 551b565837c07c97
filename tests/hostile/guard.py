"""What any input may take at most, and what is a fault: the judge of all hostile tries.

In one process: a clock of the time that this process computes for interrupts what goes on too long,
and what the process has ever taken at most tells of memory.
"""

import resource
import signal
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager

from tests.report.make import paper
from verifier.report.diagnostics import write_diagnostics
from verifier.source.codes import codes
from verifier.source.diagnostic import Diagnostic

SECONDS = 20.0
"""Computing time that a short text may take in one process, on a slow and busy machine."""

MEGABYTES = 400
"""Memory that a short text may take, beyond what was taken before."""

STEERING = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
"""Categories of letters that steer, hide, or mean nothing (Unicode Standard, section 4.5)."""

_NO_PLACE = {"no-design", "not-utf8", "too-large", "unreadable-file"}
"""Codes of whole files, which have no line."""


class EndlessError(Exception):
    """An input took more time than any may."""


@contextmanager
def in_time(seconds: float = SECONDS) -> Iterator[None]:
    """Interrupt what stands under this once it has computed for so long.

    Raises:
        EndlessError: it has.
    """

    def stop(_signal: int, _frame: object) -> None:
        raise EndlessError(f"more than {seconds} s")

    before = signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


def megabytes() -> int:
    """Return the most memory that this process has ever had."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss >> 10


def told_well(found: Diagnostic) -> str:
    """Return what is missing from a message: its code, place or mend; "" if nothing is."""
    if found.code not in codes():
        return f"no such code: {found.code}"
    if not found.headline or "\n" in found.headline:
        return "no headline of one line"
    if found.span is None:
        named = found.code in _NO_PLACE or "`" in found.headline
        return "" if named else f"no place: {found.headline}"
    source, start, end = found.span.source, found.span.start, found.span.end
    if not 0 <= start <= end <= len(source.text):
        return f"a place outside of the text: {start} .. {end}"
    if not (found.mend or found.words or found.notes):
        return f"neither mend nor cause: {found.code}: {found.headline}"
    return ""


def steers(text: str) -> str:
    """Return the first letter of an output that could steer a terminal or hide; "" for none.

    Control letters are those of ECMA-48; those that turn writing are from Unicode Standard
    Annex 9. Ends of lines are ours.
    """
    return next((one for one in text if one != "\n" and unicodedata.category(one) in STEERING), "")


def printed(found: list[Diagnostic]) -> str:
    """Return diagnostics as a terminal without colour would get them."""
    where, stream = paper(80)
    write_diagnostics(where, found)
    return stream.getvalue()
