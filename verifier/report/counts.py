"""Numbers of things in words."""


def count_of(count: int, what: str) -> str:
    """Return so many of what: `2 moves`, `1 move`, `no move`."""
    return f"{count:,} {what}{'' if count == 1 else 's'}" if count else f"no {what}"


def ordinal(number: int) -> str:
    """Return the place of something in a row, from 1 on, in words: `second`, `12th`."""
    if number <= len(_FIRST):
        return _FIRST[number - 1]
    teen = number // 10 % 10 == 1
    return f"{number}{'th' if teen else {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th')}"


_FIRST = ("first", "second", "third", "fourth", "fifth", "sixth")
