"""Sentences from text: each with its conditions in their places and its times in ticks."""

import pytest

from tests.design.make import codes, design, net
from verifier.design import model
from verifier.design.model import BuiltIn, Design, Live, Not, Or, Sentence, Truth
from verifier.design.sentences import MOST_STEPS, MOST_TIMES

LEVERS = "design d {{ tick 100 ms  p : lever  q : lever  r : lever  {line} }}"


def claim(text: str) -> tuple[Design, Sentence]:
    """Return the design of one claim, and its sentence."""
    found = design(LEVERS.format(line=f"claim it: {text}"))
    (one,) = found.claims
    return found, one.sentence


P, Q, R = "p.out", "q.out", "r.out"


@pytest.mark.parametrize(
    ("text", "form", "names", "numbers"),
    [
        ("never p", model.Never, (P,), ()),
        ("p lasts at least 2 s", model.Lasts, (P,), (20, None)),
        ("p lasts at most 3 s", model.Lasts, (P,), (None, 30)),
        ("p lasts 2 s", model.Lasts, (P,), (20, 20)),
        ("p lasts 2 s .. 3 s", model.Lasts, (P,), (20, 30)),
        ("p returns", model.Returns, (P,), (None,)),
        ("p returns within 4 s", model.Returns, (P,), (40,)),
        ("p leads to q", model.LeadsTo, (P, Q), (None,)),
        ("p leads to q within 1 s + 2 ticks", model.LeadsTo, (P, Q), (12,)),
        ("q only while p", model.OnlyWhile, (Q, P), ()),
        ("p at most 3 times in any 10 s", model.AtMostTimes, (P,), (3, 100)),
        ("p at most 1 times in any 1 tick", model.AtMostTimes, (P,), (1, 1)),
        ("p no sooner than 2 s", model.NoSooner, (P,), (20,)),
        ("possible p", model.Possible, (P,), (None, False)),
        ("possible p within 3 s whatever the spans", model.Possible, (P,), (30, True)),
        ("always possible p", model.AlwaysPossible, (P,), (None,)),
        ("always possible p within 3 s", model.AlwaysPossible, (P,), (30,)),
        ("eventually p", model.Eventually, (P,), (None,)),
        ("eventually p within 1 min", model.Eventually, (P,), (600,)),
    ],
)
def test_a_form_has_its_conditions_and_its_ticks(
    text: str, form: type[Sentence], names: tuple[str, ...], numbers: tuple[int | None, ...]
) -> None:
    found, sentence = claim(text)
    whats = [Live(net(found, name)) for name in names]
    assert sentence == form(*whats, *numbers)  # type: ignore[arg-type] # one call for all forms


def test_always_is_never_not() -> None:
    found, sentence = claim("always p")
    assert sentence == model.Never(Not(Live(net(found, P))))


@pytest.mark.parametrize(
    ("text", "limits", "last"),
    [
        ("q only after p", [None], None),
        ("q only after p then r", [None, None], None),
        ("q only after p then r within 2 s", [None, 20], None),
        ("q only after p then r each within 3 s", [None, 30], 30),
        ("q only after p then r within 2 s then p each within 3 s", [None, 20, 30], 30),
        ("q only after p each within 3 s", [None], 30),
    ],
)
def test_each_within_bounds_all_steps_but_the_first(
    text: str, limits: list[int | None], last: int | None
) -> None:
    found, sentence = claim(text)
    order = [Live(net(found, name)) for name in (P, R, P)]
    links = tuple(map(model.Link, order, limits))
    assert sentence == model.OnlyAfter(Live(net(found, Q)), links, last)


def test_scopes_stand_around_a_sentence() -> None:
    found, sentence = claim("while q: after r: from q until r: never p")
    p, q, r = (Live(net(found, name)) for name in (P, Q, R))
    inner = model.FromUntil(q, r, model.Never(p))
    assert sentence == model.While(q, model.After(r, inner))
    found, sentence = claim("from anywhere: while q: never p")
    p, q = (Live(net(found, name)) for name in (P, Q))
    assert sentence == model.FromAnywhere(model.While(q, model.Never(p)))


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("p lasts 3 s .. 2 s", "out-of-range"),
        ("q only after p within 2 s", "unreadable"),
        ("p lasts at least 250 ms", "off-tick"),
        ("p returns within 2", "wrong-unit"),
        (f"p at most {MOST_TIMES + 1} times in any 1 min", "too-many"),
        ("p at most 2 times in any 0 s", "out-of-range"),
        # Fewer than no times would be broken by each run; as a claim of starts it would hold.
        ("p at most 0 - 1 times in any 3 s", "out-of-range"),
        (f"q only after p {'then r ' * MOST_STEPS}", "too-many"),
        ("while q: possible p", "claim-scope"),
        ("while q: always possible p", "claim-scope"),
        ("while q: p no sooner than 2 s", "claim-scope"),
        ("while q: from anywhere: never p", "claim-scope"),
        ("from anywhere: from anywhere: never p", "claim-scope"),
    ],
)
def test_what_no_sentence_may_say_is_refused(text: str, code: str) -> None:
    assert codes(LEVERS.format(line=f"claim it: {text}")) == [code]


@pytest.mark.parametrize(
    "text",
    [
        "p lasts 2 s .. 2 s",
        "p at most 0 times in any 3 s",
        f"p at most {MOST_TIMES} times in any 1 min",
        f"q only after p {'then r ' * (MOST_STEPS - 1)}",
        "from anywhere: possible p",
        "from anywhere: p no sooner than 2 s",
    ],
)
def test_what_is_just_in_order_is_taken(text: str) -> None:
    assert codes(LEVERS.format(line=f"claim it: {text}")) == []


@pytest.mark.parametrize(
    "text",
    [
        "never p",
        "p returns within 2 s",
        "p leads to q within 2 s",
        "while q: p lasts at most 2 s",
        "q only while p",
    ],
)
def test_what_can_be_assumed(text: str) -> None:
    (one,) = design(LEVERS.format(line=f"assume {text}")).assumptions
    _, sentence = claim(text)
    assert repr(one.sentence) == repr(sentence)
    assert one.written == text


@pytest.mark.parametrize(
    "text",
    [
        "p returns",
        "p leads to q",
        "while q: p leads to q",
        "eventually p within 2 s",
        "possible p",
        "always possible p",
        "from anywhere: never p",
    ],
)
def test_what_cannot_be_assumed(text: str) -> None:
    assert codes(LEVERS.format(line=f"assume {text}")) == ["assume-form"]


def test_an_assumption_of_a_kind_is_made_for_each_placed_part() -> None:
    found = design(
        "kind k { in go: signal  assume go # of each"
        "\n lasts at most 3 s } design d { tick 1 s  p : lever"
        "  a : k  b : k  p -> a.go  p -> b.go  assume never a.go and b.go }"
    )
    own, first, second = found.assumptions
    a, b = Live(net(found, "a.go")), Live(net(found, "b.go"))
    assert own.sentence == model.Never(model.And((a, b)))
    assert first.sentence == model.Lasts(a, None, 3)
    assert second.sentence == model.Lasts(b, None, 3)
    assert first.written == second.written == "go lasts at most 3 s"


# --- claims --------------------------------------------------------------------------------------


def test_claims_in_a_row_and_in_a_loop_have_their_numbers() -> None:
    found = design(
        "design d { lit[1..2] : lever  claim calm[1..2]: never lit[1]"
        '  for i in 1..2 { claim dark[i] "a word": never lit[i] } }'
    )
    assert [one.name for one in found.claims] == ["calm[1]", "calm[2]", "dark[1]", "dark[2]"]
    never = [model.Never(Live(net(found, f"lit[{i}].out"))) for i in (1, 1, 1, 2)]
    assert [one.sentence for one in found.claims] == never
    assert [one.text for one in found.claims] == [None, None, "a word", "a word"]
    assert {one.built_in for one in found.claims} == {None}


HALL = (
    "kind pair {{ in feed: power  split : divider(ways: 2)  a : lamp  b : lamp"
    "  feed -> split  split.way[1] -> a  split.way[2] -> b }}"
    " design d {{ {first}  mains : supply(9)  split : divider(ways: 3)  mains -> split"
    "  near : lamp  far : pair  hung[1..1] : lamp"
    "  split.way[1] -> near  split.way[2] -> far  split.way[3] -> hung[1]  {last} }}"
)


@pytest.mark.parametrize("place", ["first", "last"])
@pytest.mark.parametrize(
    ("line", "asked"),
    [
        ("", ["near", "far.a", "far.b", "hung[1]"]),
        ("starving allowed: near", ["far.a", "far.b", "hung[1]"]),
        ("starving allowed: far", ["near", "hung[1]"]),
        ("starving allowed: far.a", ["near", "far.b", "hung[1]"]),
        ("starving allowed: hung[1], far.b", ["near", "far.a"]),
        ("starving allowed: near  starving allowed: hung[1], mains", ["far.a", "far.b"]),
    ],
)
def test_no_part_may_starve_but_those_that_are_excused(
    line: str, asked: list[str], place: str
) -> None:
    found = design(HALL.format(**{"first": "", "last": "", place: line}))
    (fed,) = found.claims
    starving = tuple(Live(net(found, f"{path}.starving")) for path in asked)
    assert isinstance(fed.sentence, model.Never)
    assert isinstance(fed.sentence.what, Or)
    assert set(fed.sentence.what.parts) == set(starving)
    assert (fed.name, fed.built_in) == ("fed", BuiltIn.FED)


def test_where_all_are_excused_none_can_starve() -> None:
    (fed,) = design(HALL.format(first="", last="starving allowed: near, far, hung[1]")).claims
    assert fed.sentence == model.Never(Truth(value=False))


@pytest.mark.parametrize("who", ["lone", "hung", "split.way"])
def test_only_parts_are_excused_from_starving(who: str) -> None:
    line = f"let lone = yes  starving allowed: {who}"
    assert codes(HALL.format(first="", last=line)) == ["wrong-type"]


@pytest.mark.parametrize(
    ("line", "names"),
    [
        ("p : lever  claim c: never p", ["c"]),
        ("p : lever  claim c: never p  keep n: count 0 .. 2", ["counts", "c"]),
        ("p : lever  claim c: never p  keep n: flag  free m: count 0 .. 2", ["c"]),
        ("one : counter(limit: 3)", ["counts"]),
        ("mains : supply(2)  one : lamp  mains -> one  keep n: count 0 .. 2", ["fed", "counts"]),
        # Names of other things are no claims, so they take nothing away.
        ("fed : lever  mains : supply(2)  one : lamp  mains -> one", ["fed"]),
        ("counts[1..2] : lever  keep fed: count 0 .. 2", ["counts"]),
        (
            "m : supply(2)  fed : lamp  m -> fed  keep counts: count 0 .. 2",
            ["fed", "counts"],
        ),
    ],
)
def test_claims_that_nobody_writes_come_first_and_only_where_they_ask_something(
    line: str, names: list[str]
) -> None:
    found = design(f"design d {{ {line} }}")
    assert [one.name for one in found.claims] == names
    built_in = {one.name: one.built_in for one in found.claims if one.built_in}
    assert built_in == {name: BuiltIn(name) for name in names if name != "c"}


@pytest.mark.parametrize("claim", ["claim fed: never p", "claim counts: never p"])
@pytest.mark.parametrize("rest", ["", "keep n: count 0 .. 2", "m : supply(2)  x : lamp  m -> x"])
def test_the_name_of_a_claim_that_nobody_writes_is_taken(claim: str, rest: str) -> None:
    assert codes(f"design d {{ p : lever  {claim}  {rest} }}") == ["twice"]
