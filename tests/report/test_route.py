"""Ways through in words: how sure they are, what is done, luck, other ways."""

from dataclasses import replace

import pytest

from tests.puzzle.desk import asked
from tests.report.make import paper, trace
from verifier.puzzle.moves import Deeds, Luck, Made, Move, deeds
from verifier.puzzle.route import Others, Route, Routed
from verifier.puzzle.space_paths import Order
from verifier.report.route import Teller, counted, instructions, luck, verdict, write_route
from verifier.verdict.answer import Outcome, Verdict

GOAL = asked(
    """\
design gates {
  tick 500 ms
  rooms court, vault
  passage court <-> vault when gate.open takes 1 s .. 2 s
  walker guest starts in court
  free hands: count 0..3
  free boat: one of (empty, goat, cabbage)
  ask   : button(room: court)
  stays : pulse(5 s .. 6 s)
  bolt  : lever
  mains : supply(2)
  gate  : door(opens: 1 s, shuts: 1 s)
  mains -> stays -> gate
  stays.start when ask or bolt or hands = 2 or boat is goat
  claim in_time: possible guest is in vault within 2 s
}
""",
    "in_time",
)
SYSTEM = GOAL.system
CHOICES = {choice.name: number for number, choice in enumerate(SYSTEM.choices)}
WALKS = next(number for name, number in CHOICES.items() if name.startswith("guest"))
RUN = trace(SYSTEM, (3, {"ask.hand": 1}), (3, {}))
ROUTE = Route(RUN, deeds(SYSTEM, GOAL.node, RUN))
SHOWN = Outcome(Verdict.HOLDS, trace=RUN)
FOUND = Routed(GOAL, Order.TIME, SHOWN, ROUTE, proved=False, states=0)
NONE = replace(FOUND, route=None, outcome=Outcome(Verdict.UNKNOWN))
TELLER = Teller(SYSTEM)


def late(found: Routed) -> list[str]:
    return [*verdict(found)]


@pytest.mark.parametrize(
    ("found", "first", "second"),
    [
        (
            replace(FOUND, proved=True),
            "the quickest takes 2.5 s, with 1 move",
            "proved: no way is quicker",
        ),
        (
            replace(FOUND, proved=True, states=7),
            "the quickest takes 2.5 s, with 1 move",
            "proved: no way is quicker; every state was tried up to there (7 states)",
        ),
        (
            replace(FOUND, states=1),
            "the quickest takes 2.5 s, with 1 move",
            (
                "no way is quicker: every state was tried up to there (1 state), but there is no"
                " proof of it for the judge"
            ),
        ),
        (
            FOUND,
            "the shortest found takes 2.5 s, with 1 move",
            "whether no way is quicker is not known",
        ),
        (
            replace(FOUND, others=Others(None, None, (), "too many states")),
            "the shortest found takes 2.5 s, with 1 move",
            "whether no way is quicker is not known: too many states",
        ),
        (
            replace(FOUND, order=Order.MOVES, states=7),
            "the fewest moves: 1, in 2.5 s",
            (
                "no way takes fewer: every state was tried up to there (7 states), but there is no"
                " proof of it for the judge"
            ),
        ),
        (
            replace(FOUND, order=Order.MOVES),
            "the fewest moves found: 1, in 2.5 s",
            "whether no way takes fewer is not known",
        ),
    ],
)
def test_how_good_a_way_is(found: Routed, first: str, second: str) -> None:
    assert late(found) == [first, second, "that is later than the 2 s that the claim asks for"]


@pytest.mark.parametrize(
    ("found", "sentences"),
    [
        (NONE, ["unknown"]),
        (
            replace(NONE, outcome=Outcome(Verdict.UNKNOWN, reason="time was up")),
            ["unknown: time was up"],
        ),
        (
            replace(NONE, states=9),
            [
                "no way: every state was tried (9 states)",
                "the judge accepted no proof of it, so take it as likely only",
            ],
        ),
        (
            replace(NONE, outcome=Outcome(Verdict.FAILS, engine="lemmas", by=("z3", "cvc5"))),
            ["there is no way, ever", "proved (lemmas, accepted by z3 and cvc5)"],
        ),
        (
            replace(NONE, states=9, outcome=Outcome(Verdict.FAILS, engine="lemmas")),
            ["there is no way, ever", "proved (lemmas); every state was tried (9 states)"],
        ),
    ],
)
def test_no_way(found: Routed, sentences: list[str]) -> None:
    assert late(found) == sentences


@pytest.mark.parametrize(
    ("name", "to", "words"),
    [
        ("ask.hand", 1, "press ask"),
        ("bolt.hand", 1, "move bolt"),
        ("hands", 2, "set hands to 2"),
        ("boat", 1, "set boat to goat"),
    ],
)
def test_moves(name: str, to: int, words: str) -> None:
    assert TELLER.move(Move(CHOICES[name], to)) == words


@pytest.mark.parametrize(
    ("name", "ticks", "words"),
    [
        ("ask.hand", 1, "press ask"),
        ("ask.hand", 4, "press ask and hold it for 2 s"),
        ("ask.hand", 7, "press ask and keep it so"),
        ("bolt.hand", 4, "move bolt and leave it for 2 s"),
    ],
)
def test_how_long_a_press_is_held(name: str, ticks: int, words: str) -> None:
    assert TELLER.made(Made(2, Move(CHOICES[name], 1), ticks), 6) == words


def test_a_walk_has_no_length() -> None:
    assert TELLER.made(Made(2, Move(WALKS, 1), 4), 6) == "guest goes to vault"


def test_a_wait_of_one_tick_is_not_told() -> None:
    told = instructions(TELLER, replace(ROUTE, trace=trace(SYSTEM, (2, {"ask.hand": 1}))), ())
    assert [one.words for one in told] == ["press ask and keep it so"]
    told = instructions(TELLER, ROUTE, ())
    assert [one.words for one in told] == ["press ask and hold it for 1.5 s", "wait 2.5 s"]


def drawn(count: int) -> list[str]:
    clock = next(n for n, one in enumerate(SYSTEM.clocks) if one.name == "stays.left")
    walks = next(n for n, one in enumerate(SYSTEM.clocks) if one.name == "guest.on_the_way")
    spans = (Luck(1, clock, 10, 10, 12), *(Luck(4, walks, 1, 1, 3),) * (count - 1))
    return [*luck(replace(FOUND, route=replace(ROUTE, deeds=Deeds((), spans))))]


def test_luck() -> None:
    assert drawn(2) == [
        "Luck: stays takes 5 s from 0.5 s on (5 s .. 6 s).",
        "Luck: guest takes 1 s from 2.0 s on (1 s .. 2 s).",
        "Where other spans are drawn, another way may be needed.",
    ]
    assert drawn(5)[-2] == "Luck: 1 more span is drawn as it suits."
    assert drawn(6)[-2] == "Luck: 2 more spans are drawn as it suits."
    assert not [*luck(NONE)]


def test_luck_that_is_not_needed() -> None:
    goal = asked(
        """\
design d {
  tick 1 s
  go : button
  lag[1..2] : pulse(2 s .. 4 s)
  mains : supply(4)
  feed : divider
  mains -> feed
  for i in 1..2 {
    feed.way[i] -> lag[i]
    go -> lag[i].start
  }
  keep met: flag
  met becomes yes when lag[1].on and lag[2].on
}
""",
        "met",
    )
    run = trace(goal.system, (1, {"go.hand": 1}), (2, {}))
    route = Route(run, deeds(goal.system, goal.node, run))
    assert len(route.deeds.luck) == 2
    assert [*luck(Routed(goal, Order.TIME, SHOWN, route, proved=False, states=0))][-1] == (
        "The same moves serve as well with each of these spans at its shortest and longest, alone"
        " and all at once; nothing in between was tried."
    )


@pytest.mark.parametrize(
    ("others", "words"),
    [
        (Others(1, 1, ()), "There is no other way as short."),
        (Others(2, 2, (ROUTE, ROUTE)), "Equally short ways: 2; these are all of them:"),
        (Others(2, None, (ROUTE,)), "Equally short ways: 2; these are some of them:"),
        (
            Others(3, 1, (ROUTE,)),
            (
                "Equally short ways: 3 (1 way but for the order in which different people move);"
                " these are some of them:"
            ),
        ),
    ],
)
def test_other_ways(others: Others, words: str) -> None:
    assert counted(others) == words


def told(found: Routed) -> str:
    board, stream = paper(100)
    write_route(board, found)
    return " ".join(stream.getvalue().split())


def test_other_ways_are_listed_and_long_ones_cut() -> None:
    many = tuple(Made(n, Move(CHOICES["ask.hand"], 1), 1) for n in range(14))
    ways = (replace(ROUTE, deeds=Deeds((), ())), replace(ROUTE, deeds=Deeds(many, ())))
    text = told(replace(FOUND, states=7, others=Others(2, 2, ways)))
    assert "these are all of them: 1. nothing 2. press ask; press ask;" in text
    assert "press ask; 2 more" in text


def test_ways_that_were_not_counted() -> None:
    words = "How many such ways there are was not counted: too many states."
    others = Others(None, None, (), "too many states")
    assert words in told(replace(FOUND, states=7, others=others))
    assert words not in told(replace(FOUND, others=others))
