"""What all records are made of: plain data, and times in milliseconds."""

Json = None | bool | int | float | str | list["Json"] | dict[str, "Json"]

_MS = 1_000_000


def milliseconds(ticks: int, tick_ns: int) -> int | float:
    """Return ticks in milliseconds, whole where they are."""
    ns = ticks * tick_ns
    return ns // _MS if ns % _MS == 0 else ns / _MS
