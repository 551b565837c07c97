"""Designs made to eat time or memory: each is refused, with the code that says why, or answered.

How much a call may take was measured on the machine of docs/hostile.md and is given there; the
bounds here leave room for slower ones.
"""

from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.hostile.fence import Ended, fenced
from tests.hostile.guard import steers

MEGABYTES = 300
"""What one process of a call may have, Python, the solver and all."""

BIG = "9" * 18


def design(body: str) -> str:
    return f"design a {{\n{body}\n}}\n"


def squares(times: int, then: str) -> str:
    """Return a number multiplied by itself again and again, so that its digits double."""
    more = "".join(f"let x{n + 1} = x{n} * x{n}\n" for n in range(times))
    return design(f"let x0 = {BIG}\n{more}{then}")


def tree(levels: int) -> str:
    """Return kinds of which each holds ten of the next: ten to the power of `levels` parts."""
    kinds = "".join(f"kind k{n} {{ p[1..10] : k{n + 1} }}\n" for n in range(levels))
    return f"{kinds}kind k{levels} {{ keep f: flag }}\n{design('p : k0')}"


def chain(length: int, name: str = "p") -> str:
    """Return kinds inside each other."""
    kinds = "".join(f"kind k{n} {{ {name} : k{n + 1} }}\n" for n in range(length))
    return f"{kinds}kind k{length} {{ keep f: flag }}\n{design('p : k0')}"


def turns(inner: str, loops: int = 2) -> str:
    heads = "".join(f"for i{n} in 1..10000 {{ " for n in range(loops))
    return design(f"b : button\nl : lamp\n{heads}{inner}{'}' * loops}")


DEEP: Mapping[str, tuple[str, str]] = {
    "brackets": (design(f"let x = {'(' * 10_000}1{')' * 10_000}"), "too-deep"),
    "indices": (design(f"let x = {'a[' * 10_000}1{']' * 10_000}"), "too-deep"),
    "nots": (design(f"let x = {'not ' * 10_000}yes"), "too-deep"),
    "ands": (design(f"let x = {'yes and ' * 10_000}yes"), "too-deep"),
    "sums": (design(f"let x = {'1 + ' * 10_000}1"), "too-deep"),
    "choices": (design(f"let x = {'1 when yes else (' * 10_000}1{')' * 10_000}"), "too-deep"),
    "scopes": (design(f"claim x: {'while yes: ' * 10_000}never yes"), "too-deep"),
    "loops": (design("for i in 1..2 { " * 10_000 + "}" * 10_000), "too-deep"),
    "blocks": ("design a {" * 10_000, "word-as-name"),
    "kinds": (chain(4_000), "too-deep"),
    "kinds with long names": (chain(2_000, "p" * 200), "too-deep"),
    "kind in itself": (f"kind k {{ p : k }}\n{design('p : k')}", "kind-in-itself"),
    "kinds in each other": (
        f"kind k {{ p : l }}\nkind l {{ p : k }}\n{design('p : k')}",
        "kind-in-itself",
    ),
    "names of names": (
        design(
            "b : button\nlet x[10000] = b.out\nfor i in 1..9999 { let x[i] = any of (x[i + 1], b) }"
        ),
        "too-deep",
    ),
}

LARGE: Mapping[str, tuple[str, str]] = {
    "row of a million": (design("b[1..1000000] : button"), "too-many"),
    "index of a million rows": (
        design(f"b[{BIG} .. {BIG}] : button\nb[1..10001] : lamp"),
        "too-many",
    ),
    "ten thousand buttons": (design("b[1..10000] : button"), "too-many"),
    "empty turns": (turns("", 3), "too-many"),
    "turns with wires": (turns("b -> l"), "too-many"),
    "turns with assumptions": (turns("assume never b"), "too-many"),
    "turns with parts": (turns("c[i0 * 10000 + i1] : button"), "too-many"),
    "kinds that multiply": (tree(8), "too-many"),
    "rows of rows": (
        design("b[1..2000] : button\nfor i in 1..2000 { let s[i] = any of b }"),
        "too-many",
    ),
    "said twice a level": (
        design(f"b : button\nclaim c: never {'b != (' * 99}b{')' * 99}"),
        "too-many",
    ),
    "supply without end": (
        design(f"m : supply({BIG})\nd : divider(ways: 3)\nl : lamp\nm -> d\nd.way[1] -> l"),
        "too-many",
    ),
    "thirty supplies": (
        design(
            "h[1..30] : button\nj : busbar(ways: 30)\nl : lamp\nj -> l\n"
            + "".join(
                f"m{n} : supply({3**n}, drops: 0)\nh[{n + 1}] -> m{n}.told\n"
                f"m{n} -> j.feed[{n + 1}]\n"
                for n in range(30)
            )
        ),
        "too-many",
    ),
    "counts multiplied": (
        design(
            "".join(f"free f{n} : count 0..999\n" for n in range(12))
            + f"claim c: never {' + '.join(f'f{n} * {7**n}' for n in range(12))} = 123456"
        ),
        "too-many",
    ),
    "list of ten thousand": (
        design("b[1..7000] : not_gate\nclaim c: never at most 3 of b"),
        "too-many",
    ),
}

WIDE: Mapping[str, tuple[str, str]] = {
    "many options": (
        design(f"free f : one of ({', '.join(f'o{n}' for n in range(20_000))})"),
        "too-many",
    ),
    "many rooms": (
        design(
            f"rooms {', '.join(f'r{n}' for n in range(2_000))}\n"
            + "".join(f"passage r{n} <-> r{(7 * n + 1) % 2_000}\n" for n in range(2_000))
            + "walker w starts in r0\nclaim c: never someone is in r7"
        ),
        "too-many",
    ),
    "many walkers": (
        design(
            "rooms x, y\npassage x <-> y\nwalker w[1..9000] starts in x\n"
            "claim c: never count of walkers in y > 3000"
        ),
        "too-many",
    ),
    "many steps": (
        design(f"b : button\nclaim c: b only after {'b then ' * 50_000}b"),
        "too-many",
    ),
}

LONG: Mapping[str, tuple[str, str]] = {
    "name of a megabyte": (f"design {'a' * 1_000_000} {{ }}", "too-long"),
    "number of ten thousand digits": (design(f"let x = {'9' * 10_000}"), "too-long"),
    "squares": (squares(60, "claim c: always x60 > 3"), "too-long"),
    "square of a time": (squares(14, "p : pulse(x14 * 1 s)"), "too-long"),
    "square as an index": (squares(14, "p[x14] : button"), "too-long"),
    "time past all": (design(f"tick 1 ms\np : pulse({BIG} h)"), "too-long"),
    "time past all, in a claim": (
        design(f"b : button\nclaim c: b lasts at most {BIG} h"),
        "too-long",
    ),
    "tolerance past all": (design(f"tolerance {BIG} %\np : pulse(3 s)"), "too-long"),
    "window past all": (
        design(f"b : button\nclaim c: b at most 64 times in any {BIG} h"),
        "too-long",
    ),
    "passage past all": (
        design(f"tick 1 ms\nrooms x, y\npassage x <-> y takes {BIG} h\nwalker w starts in x"),
        "too-long",
    ),
    "tick of nothing": (design("tick 0 ms"), "out-of-range"),
    "tick of a nanosecond": (design("tick 1 ns"), "unit-missing"),
    "count of many": (design(f"keep c : count 0 .. {BIG}"), "too-many"),
    "times of many": (design(f"b : button\nclaim c: b at most {BIG} times in any 1 s"), "too-many"),
}

ANSWERED: Mapping[str, str] = {
    "centuries of milliseconds": design(
        "tick 1 ms\nm : supply(9)\nh : button\np : pulse(876000 h)\nl : lamp\nm -> p -> l\n"
        "h -> p.start\nclaim c: p lasts at most 876000 h\nclaim d: never p"
    ),
    "longest time": design(
        "tick 1 ms\nm : supply(9)\nh : button\np : pulse(999999999999999 ms)\nl : lamp\n"
        "m -> p -> l\nh -> p.start\nclaim c: p lasts at most 999999999999999 ms\nclaim d: never p"
    ),
    "longest tick": design(f"tick {BIG} h\nb : button\nclaim c: possible b\nclaim d: never b"),
    "counts far away": design(f"keep c : count {BIG[:-1]}0 .. {BIG}\nclaim c2: never c > 3"),
    "names doubled": design(
        "b : button\nlet x0 = b.out\n"
        + "".join(f"let x{n + 1} = x{n} and (not x{n} or x{n} starts)\n" for n in range(60))
        + "claim c: never x60"
    ),
}


def measured(texts: Mapping[str, str], folder: Path) -> dict[str, Ended]:
    for name, text in texts.items():
        (folder / f"{name}.latch").write_text(text, encoding="utf-8")
    return fenced({name: ["check", f"{name}.latch", "--effort", "1"] for name in texts}, folder)


def kept(ended: Ended) -> bool:
    return ended.megabytes < MEGABYTES and not steers(ended.out + ended.err)


@pytest.mark.parametrize("cases", [DEEP, LARGE, WIDE, LONG], ids=["deep", "large", "wide", "long"])
def test_what_would_hurt_is_refused(cases: Mapping[str, tuple[str, str]], tmp_path: Path) -> None:
    found = measured({name: text for name, (text, _) in cases.items()}, tmp_path)
    wrong = {
        name: (ended.status, ended.err[:300], ended.seconds, ended.megabytes)
        for name, ended in found.items()
        if ended.status != 2 or f"error {cases[name][1]}" not in ended.err or not kept(ended)
    }
    assert not wrong


def test_what_only_looks_as_if_it_would_hurt_is_answered(tmp_path: Path) -> None:
    found = measured(ANSWERED, tmp_path)
    assert {name: ended.status for name, ended in found.items()} == dict.fromkeys(ANSWERED, 1)
    assert all(map(kept, found.values()))
