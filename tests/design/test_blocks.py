"""Kinds, rows, loops, choices, rooms: what a block may hold and how it unfolds."""

import pytest

from tests.design.make import codes, design, net, resolved
from verifier.design.model import Choice, Number, Option, Picked, ReadPick


def test_rows_and_loops_unfold() -> None:
    found = design(
        "design d(n: count = 3) { lit[1..n] : lever  for i in 2..n { let both[i] = lit[i - 1] and"
        " lit[i] }  claim c: never all of (both) }"
    )
    assert {one.path for one in found.parts} == {"lit[1]", "lit[2]", "lit[3]"}
    assert {one.path for one in found.nets} >= {"both[2]", "both[3]"}


def test_options_stand_only_beside_their_choice() -> None:
    found = design(
        "design d { free mode: one of (calm, wild, odd)  let w = mode is wild"
        "  let n = calm != mode  keep last: one of (calm, wild, odd)"
        "  last becomes mode when mode is not calm }"
    )
    assert net(found, "mode").shape == Choice(("calm", "wild", "odd"))
    assert net(found, "w").term == Picked(ReadPick(net(found, "mode")), 1)
    assert found.kept[0].cases[0].value == ReadPick(net(found, "mode"))
    assert codes("design d { free m: one of (a, b)  let x = m is c }") == ["other-option"]
    assert codes("design d { keep m: one of (a, b)  m becomes c when yes }") == ["other-option"]
    assert codes("design d { free m: one of (a, b)  let x = m and a }")[0] == "no-condition"


def test_the_first_option_is_the_start() -> None:
    found = design("design d { keep m: one of (a, b)  m becomes b when m is a }")
    assert found.kept[0].start == 0
    assert found.kept[0].cases[0].value == Option(1)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("design d { keep x: count 0 .. 3 = 5 }", "out-of-range"),
        ("design d { keep x: count 3 .. 0 }", "out-of-range"),
        ("design d { keep x: count 0 .. 3  x becomes 7 }", "out-of-range"),
        ("design d { keep x: count 0 .. 100000 }", "too-many"),
        ("design d { x[1..100000] : lever }", "too-many"),
        ("design d { x[1..3] : lever  let y = x[0] }", "row-index"),
        ("design d { x : lever  let y = x[1] }", "row-index"),
        ("design d { x : lever  for x in 1..2 { let y[x] = yes } }", "shadow"),
        ("design d { for i in 1..2 { for i in 1..2 { let y[i] = yes } } }", "shadow"),
        ("design d { tick 1 s  tick 2 s }", "twice"),
        ("design d { in x: power }", "wrong-place"),
        ("kind k { rooms a }  design d { x : k }", "wrong-place"),
        ("design d { a : pulse(a) }", "not-fixed"),
        ("kind k { x : k }  design d { x : k }", "kind-in-itself"),
        ("kind k { x : l }  kind l { x : k }  design d { x : k }", "kind-in-itself"),
        ("kind k { out o: signal }  design d { x : k }", "undriven"),
        ("kind k { in f: power uses 1 of f uses 2 of f }  design d { x : k }", "twice"),
        ("design d { setting s = 3 s }", "unused-setting"),
        ("design d { setting s = t  setting t = s  let x = s = t }", "circle"),
        ("design d { claim c: while yes: possible yes }", "claim-scope"),
        ("design d { assume eventually yes }", "assume-form"),
        ("design d { assume yes leads to no }", "assume-form"),
        ("design d { x : lever  claim a: never x  claim a: never x }", "twice"),
        ("design d { claim a: yes at most 1 times in any 0 s }", "out-of-range"),
        ("design d { rooms r  walker w starts in s }", "unknown-name"),
        ("design d { rooms r, s  passage r -> s takes 0 s }", "out-of-range"),
        ("kind k(p: power) { out o: signal = yes }  design d { x : k(1) }", "wrong-type"),
        ("design d(p: power = 3) { let x = p > 1 }", "wrong-type"),
        ("design d { rooms r  walker w starts in r  let x = w is in w }", "wrong-type"),
        ("design d { keep t: timer  let x = t and yes }", "no-condition"),
        ("design d { keep t: timer  let x = t starts }", "wrong-type"),
        ("design d { keep t: timer  keep u: timer  t loads 3 s - u }", "wrong-type"),
        ("design d { let x = 3 s = 4 }", "wrong-unit"),
        ("design d { let x = 3 mod 0 = 1 }", "out-of-range"),
    ],
)
def test_mistakes_have_their_codes(text: str, code: str) -> None:
    assert code in codes(text)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (
            "design d { keep x: count 0 .. 3 = 5  x becomes 2 when x = 1  claim c: never x = 2 }",
            "out-of-range",
        ),
        ("design d { x[1..100000] : lever  claim c: never any of (x) or x[3] }", "too-many"),
        ("design d { setting s = t  p : pulse(s)  claim c: never p }", "unknown-name"),
        ("design d { x : lamb  m : supply(1)  m -> x  claim c: never x.lit }", "unknown-kind"),
    ],
)
def test_what_could_not_be_declared_is_told_once(text: str, code: str) -> None:
    found = [one for one in codes(text) if one != "unwired"]
    assert found == [code]


def test_own_kinds_shadow_standard_ones() -> None:
    found = design("kind lamp { out o: signal = yes }  design d { l : lamp  claim c: always l }")
    assert [one.path for one in found.parts[0].ports_out] == ["l.o"]


def test_a_kind_sees_only_its_own_names() -> None:
    text = "kind k { out o: signal = outside }  design d { let outside = yes  x : k }"
    assert codes(text) == ["unknown-name"]


def test_parts_tell_what_they_draw_and_whether_they_starve() -> None:
    found = design(
        "kind k(n: count) { in f: power  uses n of f  out o: signal = fed }"
        " design d { m : supply(2)  x : k(3)  m -> x }"
    )
    part = next(one for one in found.parts if one.path == "x")
    assert part.draw == 3
    assert part.arguments == (("n", "3"),)
    assert [one.name for one in found.claims] == ["fed"]


def test_starving_may_be_excused() -> None:
    head = "m : supply(2)  x : lamp(draw: 3)  m -> x"
    plain = design(f"design d {{ {head} }}").claims[0]
    excused = design(f"design d {{ {head}  starving allowed: x }}").claims[0]
    assert plain.sentence != excused.sentence


def test_walkers_have_places_and_exits() -> None:
    found = design(
        "design d { rooms a, b, c  passage a <-> b  passage b -> c takes 1 s .. 3 s"
        "  walker w starts in b }"
    )
    walker = found.walkers[0]
    assert walker.place.shape == Choice(("a", "b", "c", "b -> c"))
    assert walker.starts == (0, 1, 2, 1)
    assert walker.ends == (0, 1, 2, 2)
    assert (walker.timer.loads[0].low, walker.timer.loads[0].high) == (9, 29)
    assert walker.exits.shape == Choice(("stay", "exit 1", "exit 2"))


def test_claims_are_written_as_they_stand() -> None:
    found = design('design d { a : lever  claim c "calm": a  lasts # short\n  at most\n 3 s }')
    assert found.claims[0].written == "a lasts at most 3 s"
    assert found.claims[0].text == "calm"


def test_long_chains_of_names_do_not_exhaust_the_stack() -> None:
    text = (
        "design d { a : lever  let x[0] = a.out"
        "  for i in 1..3000 { let x[i] = not x[i - 1] }  claim c: never x[3000] }"
    )
    found, told = resolved(text)
    assert found is not None or [one.code for one in told] == ["too-deep"]


def test_counts_keep_their_declared_range() -> None:
    found = design("design d { keep n: count 2 .. 5 = 3  n becomes n + 1 }")
    assert net(found, "n").shape == Number(2, 5, units=False)
    assert [one.name for one in found.claims] == ["counts"]


def test_a_parameter_cannot_be_power() -> None:
    assert codes("design a(feed: power = 3) { }") == ["wrong-type"]
    assert codes("kind k(feed: power) { }\ndesign a { p : k(3) }") == ["wrong-type"]
