"""The time diagram: what is drawn where, in block letters and in plain ones."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from tests.report.golden import compare
from tests.report.make import paper, plain, row
from verifier.report.clock import Clock
from verifier.report.diagram import diagram
from verifier.report.history import (
    Amount,
    History,
    Kept,
    Leaf,
    Left,
    Level,
    Moment,
    Place,
    Row,
    Run,
    Standing,
    State,
)
from verifier.report.letters import shown, width
from verifier.report.look import BLOCK, PLAIN, Letters
from verifier.simulate.watch import Again
from verifier.source.times import SECOND

CLOCK = Clock(SECOND // 10)
LIVE, DEAD = Level(live=True), Level(live=False)
IDLE = Left(0, 0, falls=False)


def door(name: str) -> Row:
    return row(
        name,
        (Leaf.SHUT, 2),
        (Leaf.OPENING, 20),
        (Leaf.OPEN, 40),
        (Leaf.SHUTTING, 30),
        (Leaf.SHUT, 8),
        asked=True,
    )


DOORS = History(
    CLOCK,
    100,
    (
        row("ask_out", (LIVE, 3), (DEAD, 97)),
        row("open_out", (IDLE, 1), (Left(60, 60, falls=True), 60), (IDLE, 39)),
        door("outer"),
        door("inner"),
        row(
            "apart",
            (Kept(broken=False), 2),
            (Kept(broken=True), 90),
            (Kept(broken=False), 8),
            note="claim",
            asked=True,
        ),
    ),
    Moment(2, "apart is broken", broken=True),
    resting=3,
)

GARDEN = History(
    Clock(SECOND),
    50_900,
    (
        row("sun", (LIVE, 50_390), (DEAD, 510)),
        row("dark", (IDLE, 50_390), (Left(37, 37, falls=True), 37), (IDLE, 473)),
        row(
            "mains",
            (Amount(0, units=True), 50_390),
            (Amount(1, units=True), 37),
            (Amount(3, units=True), 11),
            (Amount(12, units=True), 462),
        ),
        row("pump", (Amount(4, units=True), 50_400), (Amount(1, 4, units=True), 500), note="gets"),
        row(
            "guest",
            (Place("lawn"), 50_380),
            (Place("lawn -> vault", between=True), 20),
            (Place("vault"), 500),
        ),
        row("mode", (Standing("calm", rest=True), 50_440), (Standing("loud", rest=False), 460)),
    ),
    again=Again(50_390, 48, 744),
)


def drawn(history: History, columns: int = 80, letters: Letters = BLOCK) -> str:
    sheet, _ = paper(columns, letters)
    return plain(list(diagram(sheet, history)))


def test_doors() -> None:
    compare("diagram-doors", drawn(DOORS))


def test_doors_in_plain_letters() -> None:
    text = drawn(DOORS, letters=PLAIN)
    assert text.isascii()
    compare("diagram-doors-plain", text)


def test_a_garden_over_a_night() -> None:
    compare("diagram-garden", drawn(GARDEN))


def test_a_narrow_terminal_gets_panels() -> None:
    compare("diagram-narrow", drawn(DOORS, 44))


def many(events: int, moment: int) -> History:
    states = [(LIVE if number % 2 else DEAD, 7) for number in range(events)]
    return History(CLOCK, 7 * events, (row("lamp", *states),), Moment(moment, "here", broken=True))


def test_the_moment_is_drawn_however_far_it_is() -> None:
    text = drawn(many(100, 7 * 95))
    assert text.count("here") == 1
    assert "Not drawn: " in text
    assert len(text.splitlines()) < 40


def test_what_lies_after_the_last_panel_is_counted() -> None:
    assert "Not drawn: " in drawn(many(150, 0)).splitlines()[-2]


STATES: st.SearchStrategy[State] = st.one_of(
    st.builds(Level, st.booleans()),
    st.builds(Amount, st.integers(0, 12), st.integers(0, 20), st.booleans()),
    st.builds(Left, st.integers(0, 500), st.integers(0, 500), st.booleans()),
    st.sampled_from(Leaf),
    st.builds(Place, st.text(max_size=12), st.booleans()),
    st.builds(Standing, st.text(max_size=12), st.booleans()),
    st.builds(Kept, st.booleans()),
)


@st.composite
def histories(draw: st.DrawFn) -> History:
    length = draw(st.integers(1, 5_000_000))
    rows = []
    for name in draw(st.lists(st.text(max_size=30), min_size=1, max_size=4)):
        cuts = draw(st.sets(st.integers(1, length), max_size=20)) - {length}
        ticks = [0, *sorted(cuts), length]
        runs = [Run(start, end, draw(STATES)) for start, end in pairwise(ticks)]
        rows.append(Row(name, tuple(runs), asked=draw(st.booleans())))
    moment = Moment(draw(st.integers(0, length - 1)), "it is broken", broken=True)
    return History(CLOCK, length, tuple(rows), moment if draw(st.booleans()) else None)


@given(histories(), st.integers(40, 120), st.sampled_from([BLOCK, PLAIN]))
def test_no_line_of_rows_is_wider_than_the_board(
    history: History, columns: int, letters: Letters
) -> None:
    for line in drawn(history, columns, letters).splitlines():
        assert width(line) <= columns or line.startswith(("Not drawn", "At rest", "From"))
        assert shown(line) == line


@given(histories())
def test_rows_of_a_panel_are_equally_wide(history: History) -> None:
    sheet, _ = paper(90)
    lines = list(diagram(sheet, history))
    rules = [number for number, line in enumerate(lines) if line.plain.lstrip()[:1] in tuple("└┴")]
    assert rules
    for number in rules:
        wide = {width(line.plain) for line in lines[number : number + 1 + len(history.rows)]}
        assert len(wide) == 1
