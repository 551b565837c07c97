"""Lists of names, and the name that was meant."""

from collections.abc import Iterable

from verifier.source.nearest import nearest

_MANY = 8


def listed(names: Iterable[str]) -> str:
    """Return names for a sentence, the first few of them."""
    known = sorted(names)
    shown = ", ".join(f"`{name}`" for name in known[:_MANY])
    return f"{shown} and {len(known) - _MANY} more" if len(known) > _MANY else shown


def meant(name: str, known: Iterable[str]) -> str | None:
    """Ask whether a known name was meant, where one is close."""
    close = nearest(name, known)
    return None if close is None else f"did you mean `{close}`?"
