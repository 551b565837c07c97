"""Lengths of time in words, wherever something is told."""

SECOND = 1_000_000_000
MINUTE = 60
HOUR = 3600


def span(ns: int) -> str:
    """Return a length of time: `0.3 s`, `6 s`, `1 min 30 s`, `13 h 59 min 50 s`, `10 min`."""
    whole, rest = divmod(ns, SECOND)
    hours, whole = divmod(whole, HOUR)
    minutes, whole = divmod(whole, MINUTE)
    words = [f"{hours} h"] if hours else []
    words += [f"{minutes} min"] if minutes else []
    if whole or rest or not words:
        words.append(f"{f'{whole}.{rest:09d}'.rstrip('0').rstrip('.')} s")
    return " ".join(words)
