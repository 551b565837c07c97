"""Mistakes that are rarely made, each with its code and its headline; and what is just in order."""

import pytest

from tests.design.make import codes, design, net, resolved
from verifier.design.model import (
    Compare,
    Fixed,
    Live,
    Option,
    PickIf,
    Read,
    ReadPick,
    Relation,
)
from verifier.design.resolve import Wishes

RELAY = "kind k { in i: signal  out o: signal = i } "
CHOICES = "p : lever  free m: one of (a, b)  free w: one of (a, c)  keep q: one of (a, b)"


@pytest.mark.parametrize(
    ("text", "code", "headline"),
    [
        # Choices, one of two.
        (
            f"design d {{ {CHOICES}  let x = m when p else w }}",
            "other-option",
            "two choices with different options cannot stand for each other",
        ),
        (
            f"design d {{ {CHOICES}  q becomes (a when p else w) when p }}",
            "other-option",
            "two choices with different options cannot stand for each other",
        ),
        (
            "design d { p : lever  let x = 2 s when p else 3 s }",
            "not-fixed",
            "a condition here must be fixed before anything runs",
        ),
        (
            "design d { p : lever  let x = 1 when p else yes }",
            "no-condition",
            "a condition is wanted here, and this is a number",
        ),
        ("design d { free m: one of (a, b, a) }", "twice", "`a` is given twice"),
        ("design d { keep m: one of (a, b) = c }", "other-option", "`c` is none of its options"),
        (
            "design d { keep m: one of (a, b)  m becomes 3 when m is a }",
            "wrong-type",
            "one of its options is wanted here, and this is a number",
        ),
        # Numbers and times.
        (
            "design d { p : lever  claim c: p at most p times in any 3 s }",
            "wrong-type",
            "a whole number is wanted here, and this is a part",
        ),
        (
            "design d { free n: count 0 .. 3  p : lever  claim c: p at most n times in any 3 s }",
            "not-fixed",
            "a number here must be fixed before anything runs",
        ),
        (
            "design d { setting s = 3 s tunable 4 s .. 5 s  keep t: timer  t loads s }",
            "outside-tunable",
            "`s` stands at 3 s, outside the range 4 s .. 5 s in which it may be turned",
        ),
        (
            "design d { setting s = 1 s .. 3 s tunable 1 s .. 2 s  keep t: timer  t loads s }",
            "outside-tunable",
            "`s` stands at 1 s .. 3 s, outside the range 1 s .. 2 s in which it may be turned",
        ),
        (
            "design d { setting s = 4 tunable 1 .. 3  mains : supply(s) }",
            "outside-tunable",
            "`s` stands at 4, outside the range 1 .. 3 in which it may be turned",
        ),
        (
            "design d { setting s = 2 tunable 3 .. 1  mains : supply(s) }",
            "out-of-range",
            "the range runs backward: its low end is above its high end",
        ),
        (
            "design d { setting s = 3 s tunable 1 .. 5  keep t: timer  t loads s }",
            "wrong-unit",
            "a time is wanted here, and this is a number",
        ),
        (
            "design d { setting s = 3 tunable 1 s .. 5 s  mains : supply(s) }",
            "wrong-unit",
            "a whole number is wanted here, and this is a time",
        ),
        (
            "design d { setting s = yes tunable 1 .. 5  keep f: flag = s }",
            "wrong-type",
            "a time or a number is wanted here, and this is a condition",
        ),
        (
            "design d { setting s = 2 s .. 3 s  p : lever  claim c: p lasts at least s }",
            "not-fixed",
            "a single time must be fixed before anything runs",
        ),
        (
            "design d { setting s = 2 s .. 3 s  let x = 2 s = s }",
            "not-fixed",
            "a single time must be fixed before anything runs",
        ),
        (
            f"design d {{ setting s = 1 s .. {'9' * 18} h  keep t: timer  t loads s * 2 }}",
            "too-long",
            "this comes to a number with too many digits",
        ),
        (
            "design d { p : lever  let x = sum of (p, 2 s) }",
            "wrong-unit",
            "a number is wanted here, and this is a time",
        ),
        (
            "design d { p : lever  setting s = p  claim c: never p }",
            "not-fixed",
            "a setting must be fixed before anything runs",
        ),
        ("design d { tick 2 ticks }", "wrong-unit", "the tick itself needs a real unit"),
        ("design d { tick 0 s }", "out-of-range", "a tick cannot be 0"),
        ("design d(n: count) { p[1..n] : lever }", "argument", "`d` wants `n`"),
        # Kept state.
        (
            "design d { keep f: flag = 3 }",
            "wrong-type",
            "`yes` or `no` is wanted here, and this is a number",
        ),
        (
            "design d { keep f: flag  f becomes yes when f  f becomes no }",
            "twice",
            "`f becomes` is given twice",
        ),
        (
            "design d { keep f: flag  f becomes 1 .. 2 when f }",
            "wrong-type",
            "one value is wanted here, not a range",
        ),
        (
            "design d { keep n: count 0 .. 3  n becomes yes }",
            "wrong-type",
            "a count is wanted here, and this is a condition",
        ),
        (
            "design d { p : lever  p becomes yes }",
            "wrong-type",
            "only a kept flag, count or choice of this block `becomes`",
        ),
        # Names, rows and loops.
        ("design d { p : lever  p[1..2] : lever }", "twice", "`p[1]` is given twice"),
        ("design d { p[1..2] : lever  p : lever }", "twice", "`p` is given twice"),
        (
            "design d { p : lever  for p in 1..2 { let y[p] = yes } }",
            "shadow",
            "the loop name `p` already means something here",
        ),
        (
            "design d { for i in 3..1 { let y[i] = yes } }",
            "out-of-range",
            "the range runs backward: its low end is above its high end",
        ),
        ("design d { for i in 1..2 { tick 1 s } }", "wrong-place", "this cannot stand in a loop"),
        (
            "design d { lit[1..4] : lever  claim c: never all of (lit[2..5]) }",
            "row-index",
            "`lit` has no place 5",
        ),
        (
            "design d { p : lever  claim c: never p  let x = c }",
            "wrong-type",
            "`c` is a claim, not a value",
        ),
        # Parts and wires.
        (
            "kind k { let lit = yes } design d { one : k  let x = one }",
            "no-condition",
            "`one` has no output",
        ),
        (
            "kind k { keep f: flag } design d { one : k  let x = one }",
            "no-condition",
            "`one` has no output",
        ),
        (
            "kind k(x: count) { out o: signal = x > 1 } design d { one : k(yes) }",
            "wrong-type",
            "`x` wants a whole number, and this is a condition",
        ),
        (
            "kind k(x: flag) { out o: signal = x } design d { one : k(3) }",
            "wrong-type",
            "`x` wants `yes` or `no`, and this is a number",
        ),
        (
            f"{RELAY} design d {{ p : lever  one : k  p -> one.i -> one.i }}",
            "not-a-source",
            "the chain cannot go on from `one.i`, an input",
        ),
        (
            f"{RELAY.replace('}', 'i -> o }')} design d {{ p : lever  one : k  p -> one }}",
            "two-wires",
            "`one.o` is driven twice",
        ),
        (
            f"{RELAY} design d {{ p : lever  one : k  one.i when p  p -> one }}",
            "two-wires",
            "`one.i` is driven twice",
        ),
    ],
)
def test_a_mistake_is_told_in_its_words(text: str, code: str, headline: str) -> None:
    _, told = resolved(text)
    assert [(one.code, one.headline) for one in told] == [(code, headline)]
    assert all(one.mend or one.notes for one in told)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        (
            "kind k { in f: signal  uses 1 of f } design d { one : k }",
            ["wrong-type", "unwired"],
        ),
        (f"{RELAY} design d {{ one : k  one.i -> one.i }}", ["not-a-source", "unwired"]),
        (f"{RELAY} design d {{ p : lever  one : k  p -> one.o }}", ["not-a-target", "unwired"]),
    ],
)
def test_what_a_mistake_leaves_undone_is_told_too(text: str, found: list[str]) -> None:
    assert codes(text) == found


def test_one_of_two_choices_with_the_same_options_is_a_choice() -> None:
    found = design(
        "design d { p : lever  free m: one of (a, b)  free w: one of (a, b)"
        "  let x = m when p else w  let y = m when yes else w  let z = m when p else b }"
    )
    m, w = ReadPick(net(found, "m")), ReadPick(net(found, "w"))
    x, z = net(found, "x").term, net(found, "z").term
    assert isinstance(x, PickIf)
    assert isinstance(z, PickIf)
    assert (x.then, x.other) == (m, w)
    assert net(found, "y").term == m
    assert (z.then, z.other) == (m, Option(1))


def test_a_piece_of_a_row_is_a_row() -> None:
    assert codes("design d { lit[1..4] : lever  claim c: never all of (lit[2..3]) }") == []


def test_parameters_are_read_from_the_command_line() -> None:
    text = "design d(n: count = 2) { p[1..n] : lever }"
    assert len(design(text, Wishes({"n": "3"})).parts) == 3
    assert codes(text, Wishes({"n": "3 s"})) == ["wrong-unit"]
    assert codes(text, Wishes({"n": "3 tunable 1 .. 2"})) == ["unreadable"]
    (told,) = resolved(text, Wishes({"n": "3\nrooms\n  a"}))[1]
    assert told.headline == "`3 rooms a` is no value for `n`"
    text = "design d { tick 1 s  mains : supply(1)  glow : pulse(10 s)  mains -> glow }"
    assert "coarse-tolerance" not in codes(text, Wishes(tolerance=10))
    assert "coarse-tolerance" in codes(text, Wishes(tolerance=1))


COUNTED = "kind k(n: count 0 .. 4 = 1) { in a: signal  out o: signal = a and n > 3 } "
PICKED = "kind k(w: one of (x, y)) { keep q: one of (a, b) = w  out o: signal = q is b } "


@pytest.mark.parametrize(
    ("text", "code", "headline", "place"),
    [
        (
            f"{COUNTED} design d {{ p : lever  one : k(7)  p -> one.a }}",
            "out-of-range",
            "`n` goes from 0 to 4, and this is 7",
            "7",
        ),
        (
            f"{COUNTED.replace('= 1', '= 9')} design d {{ p : lever  one : k  p -> one.a }}",
            "out-of-range",
            "`n` goes from 0 to 4, and this is 9",
            "9",
        ),
        (
            "kind k(m: count, n: count 1 .. m) { out o: signal = n = m } design d { x : k(3, 0) }",
            "out-of-range",
            "`n` goes from 1 to 3, and this is 0",
            "0",
        ),
        (
            "kind k(n: count 4 .. 1) { out o: signal = n > 1 } design d { one : k(3) }",
            "out-of-range",
            "the range runs backward: its low end is above its high end",
            "4 .. 1",
        ),
        (
            "kind k(n: count 0 .. n) { out o: signal = n > 1 } design d { one : k(3) }",
            "circle",
            "`one.n` is defined by itself",
            "n",
        ),
        (
            "design d { one : supply(2 - 3) }",
            "out-of-range",
            "the units of `amount` cannot be below 0",
            "2 - 3",
        ),
        (
            "kind k(w: one of (a, a)) { out o: signal = w is a } design d { one : k(a) }",
            "twice",
            "`a` is given twice",
            "a",
        ),
        # The options of another choice are other ones, even where they stand at the same place.
        (
            f"{PICKED} kind whole(v: one of (a, b)) {{ x : k(v) }} design d {{ one : whole(a) }}",
            "other-option",
            "two choices with different options cannot stand for each other",
            "v",
        ),
        (
            f"{PICKED} design d {{ one : k(y) }}",
            "other-option",
            "two choices with different options cannot stand for each other",
            "w",
        ),
    ],
)
def test_a_parameter_keeps_all_that_its_type_says(
    text: str, code: str, headline: str, place: str
) -> None:
    _, told = resolved(text)
    first = told[0]
    assert (first.code, first.headline, first.span and first.span.text) == (code, headline, place)
    assert first.mend


def test_a_parameter_keeps_its_range_on_the_command_line_too() -> None:
    text = "design d(n: count 0 .. 4 = 1) { p : lever  claim c: possible n > 3 and p }"
    assert codes(text, Wishes({"n": "4"})) == []
    assert codes(text, Wishes({"n": "7"})) == ["out-of-range"]


PULSE = "mains : supply(4)  ask : button  t : {kind}  l : lamp  mains -> t -> l  ask -> t.start"


@pytest.mark.parametrize(
    ("kind", "code", "mend"),
    [
        ("pluse(3 s)", "unknown-kind", "did you mean `pulse`?"),
        ("pulse(span = 3 s)", "argument", "write `span: 3 s`"),
        ("pulse(3 s, again: true)", "unknown-name", "write `yes`"),
        ("pulse(3 s, again: False)", "unknown-name", "write `no`"),
    ],
)
def test_a_part_that_is_refused_is_told_once_with_its_mend(kind: str, code: str, mend: str) -> None:
    _, told = resolved(f"design d {{ {PULSE.format(kind=kind)} }}")
    assert [(one.code, one.mend) for one in told] == [(code, mend)]


def test_what_is_wired_behind_a_refused_part_in_a_kind_is_not_told_either() -> None:
    text = "kind k {{ in feed: power  t : {}  out out: power  feed -> t -> out }} design d {{ {} }}"
    rest = "mains : supply(1)  one : k  l : lamp  mains -> one -> l"
    assert codes(text.format("pluse(3 s)", rest)) == ["unknown-kind"]
    assert codes(text.format("pulse(3 s)", rest)) == ["unwired", "never-live", "never-live"]


def test_an_argument_may_compare_what_is_known() -> None:
    text = "kind k(n: flag) { out o: signal = n } design d { setting n = 3  one : k(n = 3) }"
    assert codes(text) == []


def test_an_unknown_port_is_answered_by_ports_and_no_parameter() -> None:
    _, told = resolved(f"design d {{ {PULSE.format(kind='pulse(3 s)')}  ask -> t.begin }}")
    (port,) = told
    assert port.code == "unknown-port"
    assert port.mend is not None
    assert port.mend.startswith("its inputs: `feed`, `start`; what can be read of it: `fed`,")
    assert "again" not in port.mend


def test_a_loop_is_told_where_it_runs_through_the_file_of_the_design() -> None:
    _, (told,) = resolved("design d { s : not_gate  s -> s.input }")
    assert told.span is not None
    assert (told.code, told.span.text) == ("loop", "s -> s.input")
    assert [one.span.source.name for one in told.labels] == ["<parts>"]


def test_a_part_stands_for_its_first_output_and_power_for_its_first_unit() -> None:
    found = design("design d { mains : supply(2)  p : lever  let x = mains  let y = p  }")
    power = net(found, "mains.out")
    assert net(found, "x").term == Compare(Relation.LESS, Fixed(0), Read(power))
    assert net(found, "y").term == Live(net(found, "p.out"))


def test_a_part_without_an_output_says_what_else_can_be_read() -> None:
    text = "kind k { let lit = yes  let dim = no  keep f: flag } design d { one : k  let x = one }"
    _, (told,) = resolved(text)
    assert told.mend == "say which of its names: `one.dim`, `one.lit`"


@pytest.mark.parametrize("value", ["4 s", "5 s", "45 ticks"])
def test_a_setting_may_stand_at_either_end_of_its_range(value: str) -> None:
    text = f"design d {{ setting s = {value} tunable 4 s .. 5 s  keep t: timer  t loads s }}"
    assert codes(text) == []


def test_a_value_that_is_asked_for_may_leave_the_range_of_the_file() -> None:
    text = "design d { setting s = 4 s tunable 4 s .. 5 s  keep t: timer  t loads s }"
    assert codes(text, Wishes({"s": "9 s"})) == []
