"""Operators on times, timers, numbers and options: what they say, and what they refuse."""

import operator
from collections.abc import Callable

import pytest

from tests.design.make import codes, design, says

WAIT = (
    "kind wait {{ in go: signal  keep left: timer  left loads 9 s when go  {lines}"
    "  out out: signal = left > 0 s }}"
    " design d {{ tick 1 s  press : button  one : wait  press -> one.go }}"
)
DIALS = (
    "design d {{ tick 1 s  setting stay = 3 s  free mode: one of (calm, wild, odd)"
    "  free was: one of (calm, wild, odd)  free other: one of (up, down)"
    "  free n: count 0 .. 6  free p: signal  free q: signal"
    "  let it = {it}  let used = p and stay > 1 s }}"
)
COMPARED: list[tuple[str, Callable[[int, int], bool]]] = [
    ("<", operator.lt),
    ("<=", operator.le),
    (">", operator.gt),
    (">=", operator.ge),
    ("=", operator.eq),
    ("!=", operator.ne),
]


@pytest.mark.parametrize(("sign", "compare"), COMPARED)
@pytest.mark.parametrize("span", [0, 1, 3])
def test_a_timer_is_compared_with_a_time(
    sign: str, compare: Callable[[int, int], bool], span: int
) -> None:
    text = WAIT.format(lines=f"let one = left {sign} {span} s  let other = {span} s {sign} left")
    for clock in range(6):
        assert says(text, "one.one", left=clock) == compare(clock, span)
        assert says(text, "one.other", left=clock) == compare(span, clock)


@pytest.mark.parametrize(("sign", "compare"), COMPARED)
def test_two_times_and_two_numbers_are_compared(
    sign: str, compare: Callable[[int, int], bool]
) -> None:
    for other in (2, 3, 4):
        assert says(DIALS.format(it=f"stay {sign} {other} s"), "it") == compare(3, other)
        for n in range(7):
            shown = says(DIALS.format(it=f"n {sign} {other}"), "it", n=n)
            assert shown == compare(n, other)


@pytest.mark.parametrize(("sign", "same"), [("=", True), ("!=", False)])
def test_options_and_flags_are_the_same_or_not(sign: str, same: bool) -> None:
    options, flags = DIALS.format(it=f"mode {sign} was"), DIALS.format(it=f"p {sign} q")
    for one in range(3):
        for other in range(3):
            assert says(options, "it", mode=one, was=other) == ((one == other) is same)
    for one in range(2):
        for other in range(2):
            assert says(flags, "it", p=one, q=other) == ((one == other) is same)


ROOMS = ("lawn", "vault", "anywhere")


@pytest.mark.parametrize(("sign", "same"), [("=", True), ("is", True), ("!=", False)])
def test_a_room_is_itself_and_anywhere_is_none_of_them(sign: str, same: bool) -> None:
    for one in ROOMS:
        for other in ROOMS:
            text = (
                f"kind mat(here: room, there: room) {{ out o: signal = here {sign} there }}"
                f" design d {{ rooms lawn, vault  one : mat({one}, {other})  let it = one }}"
            )
            assert says(text, "it") == ((one == other) is same)


@pytest.mark.parametrize(
    ("sum_", "value"),
    [
        ("n + 2", lambda n: n + 2),
        ("n - 2", lambda n: n - 2),
        ("n * 2", lambda n: n * 2),
        ("2 * n", lambda n: n * 2),
        ("n div 2", lambda n: n // 2),
        ("n mod 3", lambda n: n % 3),
        ("n div 1", lambda n: n),
        ("7 div 2 + n", lambda n: n + 3),
    ],
)
def test_numbers_are_joined(sum_: str, value: Callable[[int], int]) -> None:
    for n in range(7):
        for other in range(5):
            shown = says(DIALS.format(it=f"{sum_} = {other}"), "it", n=n)
            assert shown == (value(n) == other)


@pytest.mark.parametrize(
    ("it", "code"),
    [
        ("mode = other", "other-option"),
        ("mode < was", "wrong-type"),
        ("mode = n", "other-option"),
        ("n = 3 s", "wrong-unit"),
        ("stay = 1 s .. 2 s", "unreadable"),
        ("n * n = 3", "not-fixed"),
        ("n div 0 = 3", "out-of-range"),
        ("n mod 0 = 3", "out-of-range"),
        ("p + stay = 3 s", "wrong-unit"),
        ("stay - 4 s = 3 s", "out-of-range"),
        ("stay * n = 3 s", "not-fixed"),
        ("n * stay = 3 s", "not-fixed"),
        ("stay div n = 3 s", "not-fixed"),
        ("stay div 0 = 3 s", "out-of-range"),
        ("stay * stay = 3 s", "wrong-type"),
    ],
)
def test_what_cannot_be_compared_or_joined_is_refused(it: str, code: str) -> None:
    assert codes(DIALS.format(it=it)) == [code]


def test_a_sum_counts_conditions_as_one_each() -> None:
    for n in range(4):
        for p in range(2):
            for k in range(5):
                text = DIALS.format(it=f"sum of (n, p, stay > 1 s) = {k}")
                assert says(text, "it", n=n, p=p) == (n + p + 1 == k)


MOST = 10**18 - 1
"""Numbers of 18 digits can be written, and made, and no larger ones."""


@pytest.mark.parametrize(
    ("it", "told"),
    [
        (f"{MOST} - 1 + 1 = {MOST}", []),
        (f"1 + {MOST} > 1", ["too-long"]),
        (f"n > {MOST} * 2", ["too-long"]),
        (f"0 - {MOST} < 1", []),
        (f"0 - {MOST} - 1 < 1", ["too-long"]),
        # Times: so many hours.
        (f"{MOST - 1} h + 3599999 ms + 1 ms = {MOST} h", []),
        (f"{MOST} h + 1 ms > 1 s", ["too-long"]),
        (f"{MOST} * 61 min > 1 s", ["too-long"]),
    ],
)
def test_what_is_made_has_as_many_digits_as_what_is_written(it: str, told: list[str]) -> None:
    text = DIALS.format(it=it)
    assert codes(text) == told
    assert told or says(text, "it")


LENGTHS = (
    "design d {{ tick 1 s  setting a = 2 s  setting b = 4 s .. 5 s"
    "  setting c = 3 s  setting d = a .. c"
    "  keep left: timer  left loads {span}  let used = {it} }}"
)


@pytest.mark.parametrize(
    ("span", "it", "pinned"),
    [
        # What is only added and multiplied lengthens the span, so much for each second of it.
        ("a + b + c", "left > 0 s", ""),
        ("2 * a + b + c * 3", "left > 0 s", ""),
        # What is taken away shortens it, whatever it was made of before.
        ("a + b - c", "left > 0 s", "c"),
        ("b - (a + 1 s) + c", "left > 0 s", "a"),
        ("b + 9 s - (a + c)", "left > 0 s", "ac"),
        ("9 s + c - (b - a)", "left > 0 s", "ab"),
        ("a + b - c * 2", "left > 0 s", "c"),
        ("a + b - 2 * c", "left > 0 s", "c"),
        ("9 s - (b + c) div 1 + a", "left > 0 s", "bc"),
        ("b + c + a div 2", "left > 0 s", "a"),
        ("9 s + b - d", "left > 0 s", "acd"),
        ("d", "left > 0 s", ""),
        # What is compared decides at one length of it and not at another.
        ("b", "a > c", "ac"),
        ("b + c", "a + 1 s = 3 s", "a"),
        ("b + c", "6 s = 2 * a", "a"),
        ("b", "left < a + c", "ac"),
        ("b", "a - 1 s <= c", "ac"),
        ("b", "3 s div 2 < a + c", "ac"),
    ],
)
def test_settings_that_do_more_than_lengthen_are_pinned(span: str, it: str, pinned: str) -> None:
    assert design(LENGTHS.format(span=span, it=it)).pinned == set(pinned)


@pytest.mark.parametrize("it", ["left > b", "b > left", "left = d", "b + b <= left", "a = b"])
def test_a_range_is_compared_with_nothing(it: str) -> None:
    """It is true of one drawing and not of another."""
    told = codes(LENGTHS.format(span="b", it=it))
    assert [one for one in told if one != "unused-setting"] == ["not-fixed"]
