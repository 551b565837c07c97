"""The known name that a mistyped one most likely meant."""

from collections.abc import Iterable
from difflib import get_close_matches


def nearest(name: str, known: Iterable[str]) -> str | None:
    """Return the known name closest to `name`, or None where none is close.

    Ratcliff and Obershelp's measure, as in Python's `difflib`; names that start alike are
    preferred.
    """
    names = sorted(set(known))
    close = get_close_matches(name, names, n=1, cutoff=0.6)
    if close:
        return close[0]
    starts = [one for one in names if len(name) > 1 and one.startswith(name)]
    return starts[0] if starts else None
