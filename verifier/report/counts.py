"""Numbers of things in words."""


def count_of(count: int, what: str) -> str:
    """Return so many of what: `2 moves`, `1 move`, `no move`."""
    return f"{count:,} {what}{'' if count == 1 else 's'}" if count else f"no {what}"
