"""Supplies, taps, dividers, relays, what is driven, and gates, against what their texts promise."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.parts.bench import bench, levels, traced


def amounts(body: str, *shown: str) -> dict[str, int]:
    (one,) = bench(f"free idle: signal\n{body}", *shown).run({"idle": [False]})
    return one


@given(st.integers(0, 12), st.integers(0, 8))
def test_tap_takes_at_most_its_amount(supplied: int, amount: int) -> None:
    body = f"mains : supply({supplied})\npart : tap({amount})\nmains -> part"
    shown = amounts(body, "part.side", "part.rest")
    assert shown["part.side"] == min(amount, supplied)
    assert shown["part.side"] + shown["part.rest"] == supplied


@given(st.integers(0, 12), st.integers(1, 5))
def test_divider_shares_equally_the_rest_goes_first(supplied: int, ways: int) -> None:
    body = f"mains : supply({supplied})\npart : divider(ways: {ways})\nmains -> part"
    shares = list(amounts(body, *(f"part.way[{way + 1}]" for way in range(ways))).values())
    assert sum(shares) == supplied
    assert sorted(shares, reverse=True) == shares
    assert max(shares) - min(shares) <= 1


@given(st.lists(st.integers(0, 5), min_size=1, max_size=4))
def test_busbar_joins(feeds: list[int]) -> None:
    lines = [f"part : busbar(ways: {len(feeds)})"]
    for way, amount in enumerate(feeds, start=1):
        lines += [f"s{way} : supply({amount})", f"s{way} -> part.feed[{way}]"]
    assert amounts("\n".join(lines), "part.out")["part.out"] == sum(feeds)


@given(levels())
def test_supply_drops_while_not_told(told: list[bool]) -> None:
    body = "free a: signal\npart : supply(7, drops: 2)\na -> part.told"
    shown = bench(body, "part.out").run({"a": told})
    assert [one["part.out"] for one in shown] == [7 if level else 2 for level in told]


def test_supply_that_is_not_told_gives_all() -> None:
    assert amounts("part : supply(7, drops: 2)", "part.out")["part.out"] == 7
    assert amounts("part : supply(7)\npart.told when no", "part.out")["part.out"] == 7


@given(levels())
def test_relay_changes_over_a_tick_late(coil: list[bool]) -> None:
    body = "free a: signal\nmains : supply(3)\npart : relay\nmains -> part\na -> part.coil"
    shown = bench(body, "part.make", "part.break", "part.pulled").run({"a": coil})
    for pulled, one in zip([False, *coil], shown, strict=False):
        assert one == {
            "part.make": 3 if pulled else 0,
            "part.break": 0 if pulled else 3,
            "part.pulled": int(pulled),
        }


@pytest.mark.parametrize(("kind", "draw"), [("lamp", 1), ("bell", 1), ("load", 3), ("lamp", 2)])
@pytest.mark.parametrize("supplied", [0, 1, 2, 3, 4])
def test_driven_parts_need_their_units(kind: str, draw: int, supplied: int) -> None:
    main = {"lamp": "part.lit", "bell": "part.rings", "load": "part.works"}[kind]
    body = f"mains : supply({supplied})\npart : {kind}({draw})\nmains -> part"
    shown = amounts(body, main, "part.starving")
    assert shown[main] == int(supplied >= draw)
    assert shown["part.starving"] == int(0 < supplied < draw)


@pytest.mark.parametrize("one", [False, True])
@pytest.mark.parametrize("other", [False, True])
def test_gates(*, one: bool, other: bool) -> None:
    tables = {
        "and_gate": one and other,
        "or_gate": one or other,
        "xor_gate": one != other,
    }
    for kind, expected in tables.items():
        body = (
            f"free a: signal\nfree b: signal\npart : {kind}\na -> part.input[1]\nb -> part.input[2]"
        )
        assert traced(bench(body, "part.out").run({"a": [one], "b": [other]}), "part.out") == [
            expected
        ]
    body = "free a: signal\nfree b: signal\npart : inhibit\na -> part.input\nb -> part.bar"
    shown = bench(body, "part.out").run({"a": [one], "b": [other]})
    assert traced(shown, "part.out") == [one and not other]
    shown = bench("free a: signal\npart : not_gate\na -> part", "part.out").run({"a": [one]})
    assert traced(shown, "part.out") == [not one]


@given(st.lists(st.booleans(), min_size=3, max_size=3))
def test_gates_of_three_ways(inputs: list[bool]) -> None:
    free = "\n".join(f"free i{n}: signal\ni{n} -> part.input[{n + 1}]" for n in range(3))
    told = {f"i{n}": [level] for n, level in enumerate(inputs)}
    for kind, expected in (("and_gate", all(inputs)), ("or_gate", any(inputs))):
        shown = bench(f"part : {kind}(ways: 3)\n{free}", "part.out").run(told)
        assert traced(shown, "part.out") == [expected]
