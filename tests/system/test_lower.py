"""Lowering, piece by piece: edges, kept state and timers."""

from itertools import product

import pytest

from tests.system.looking import bits, counted, left, seen
from tests.system.make import Bench, load
from tests.system.stepper import following, values
from verifier.design.model import (
    Above,
    Add,
    And,
    BuiltIn,
    Case,
    Choice,
    Compare,
    Edge,
    Fixed,
    Flag,
    Live,
    Net,
    Never,
    Not,
    Number,
    Option,
    Or,
    Picked,
    PickIf,
    Read,
    ReadPick,
    Relation,
    Role,
    Running,
    Subtract,
    Truth,
)
from verifier.system.draft import Draft
from verifier.system.lower import lower
from verifier.system.model import Bits
from verifier.system.state import start_of

# --- edges ----------------------------------------------------------------------------------------


def test_what_is_live_at_tick_0_starts_there_and_nothing_ends_there() -> None:
    bench = Bench()
    button = bench.button("b")
    bench.let("starts", Edge(button, rising=True))
    bench.let("ends", Edge(button, rising=False))
    bench.let("gap starts", Edge(Not(button), rising=True))
    bench.let("gap ends", Edge(Not(button), rising=False))
    system = lower(bench.design())
    for path, on_live, on_dead in [
        ("starts", "10010", "00010"),
        ("ends", "00100", "00001"),
        ("gap starts", "00100", "10001"),
        ("gap ends", "00010", "00010"),
    ]:
        (node,) = system.shown[path].nodes
        assert seen(system, node, bits("11011"[:5])) == on_live
        assert seen(system, node, bits("00010"[:5])) == on_dead


def test_edges_remember_with_bits_that_are_not_kept() -> None:
    bench = Bench()
    bench.let("starts", Edge(bench.button("b"), rising=True))
    (register,) = lower(bench.design()).registers
    assert (register.kept, register.start) == (False, False)


# --- free choices and what is put in the place of nets -------------------------------------------


@pytest.mark.parametrize(("low", "high"), [(2, 2), (2, 3), (3, 6), (-1, 2)])
def test_a_free_number_has_an_option_for_each_value_of_it(low: int, high: int) -> None:
    bench = Bench()
    bench.button("b")
    bench.free_number("n", low, high)
    system = lower(bench.design())
    choice = system.choices[1]
    assert (choice.name, choice.is_press) == ("n", True)
    assert choice.options == tuple(str(value) for value in range(low, high + 1))
    rows = [(0, option) for option in range(len(choice.options))]
    assert counted(system, "n", rows) == list(range(low, high + 1))


@pytest.mark.parametrize("options", [("a",), ("a", "b"), ("a", "b", "c")])
def test_a_free_choice_stands_at_the_option_that_is_chosen(options: tuple[str, ...]) -> None:
    bench = Bench()
    bench.button("b", is_press=False)
    bench.button("c")
    bench.free_choice("mode", options)
    system = lower(bench.design())
    assert [one.options for one in system.choices] == [("dead", "live"), ("dead", "live"), options]
    assert [one.is_press for one in system.choices] == [False, True, True]
    for option in range(len(options)):
        stands = values(start_of(system), (0, 0, option), system.shown["mode"].nodes)
        assert stands == tuple(place == option for place in range(len(options)))


def test_numbers_and_choices_are_worked_out_of_others() -> None:
    bench = Bench()
    fixed = bench.net("fixed", Choice(("a", "b", "c")), Option(2))
    n, mode = bench.free_number("n", 1, 3), bench.free_choice("mode", ("a", "b", "c"))
    button = bench.button("b")
    twice = bench.net("twice", Number(2, 6, units=False), Add(Read(n), Read(n)))
    roomy = bench.net("roomy", Number(-1, 9, units=False), Subtract(Read(twice), Fixed(2)))
    bench.let("much", Compare(Relation.LESS, Fixed(2), Read(roomy)))
    told = bench.net("told", Choice(("a", "b", "c")), PickIf(button, Option(1), ReadPick(mode)))
    bench.let("alike", Picked(ReadPick(told), 2))
    bench.let("sure", Picked(ReadPick(fixed), 2))
    system = lower(bench.design())
    for number, chosen, pressed in product(range(3), range(3), range(2)):
        row = (number, chosen, pressed)
        assert counted(system, "twice", [row]) == [2 * (number + 1)]
        assert counted(system, "roomy", [row]) == [2 * number]
        wanted = 1 if pressed else chosen
        for path, place in [("told", wanted), ("fixed", 2)]:
            stands = values(start_of(system), row, system.shown[path].nodes)
            assert stands == tuple(option == place for option in range(3))
        for path, live in [("much", number == 2), ("alike", wanted == 2), ("sure", True)]:
            assert values(start_of(system), row, system.shown[path].nodes) == (live,)


def test_what_reads_a_net_reads_what_is_put_in_its_place() -> None:
    """Kept state and free choices are no such nets: they stay what they are."""
    bench = Bench()
    button = bench.button("b")
    lamp = bench.let("lamp", button)
    bench.let("dark", Not(lamp))
    bench.keep("kept", Flag(), 0)
    put = []

    def turned(draft: Draft, net: Net, made: Bits) -> Bits:
        put.append(net.path)
        (node,) = made.nodes
        return Bits((draft.pool.not_(node),)) if net.path == "lamp" else made

    system = lower(bench.design(), turned)
    assert sorted(put) == ["dark", "lamp"]
    for path, shown in [("b", "01"), ("lamp", "10"), ("dark", "01")]:
        (node,) = system.shown[path].nodes
        assert seen(system, node, bits("01")) == shown


# --- kept state -----------------------------------------------------------------------------------


def test_a_count_stays_at_its_end_and_counts_is_broken_in_that_tick() -> None:
    bench = Bench()
    up, down = bench.button("up"), bench.button("down")
    count = bench.keep("count", Number(1, 3, units=False), 2)
    bench.change(
        count, Case(Add(Read(count), Fixed(2)), up), Case(Subtract(Read(count), Fixed(1)), down)
    )
    bench.claim("counts", Never(Truth(value=False)), BuiltIn.COUNTS)
    system = lower(bench.design())
    rows = [(0, 0), (1, 0), (1, 1), (0, 1), (0, 1), (0, 1), (0, 0), (1, 0), (0, 0)]
    assert counted(system, "count", rows) == [2, 2, 3, 3, 2, 1, 1, 1, 3]
    assert seen(system, system.questions[0].bad, rows) == "011001000"


def test_every_count_that_overflows_breaks_the_one_claim() -> None:
    bench = Bench()
    for name in "ab":
        button = bench.button(name)
        count = bench.keep(f"count {name}", Number(0, 1, units=False), 1)
        bench.change(count, Case(Add(Read(count), Fixed(1)), button))
    bench.claim("counts", Never(Truth(value=False)), BuiltIn.COUNTS)
    system = lower(bench.design())
    for row in product((0, 1), repeat=2):
        assert seen(system, system.questions[0].bad, [row]) == str(int(any(row)))


@pytest.mark.parametrize("step", range(-4, 5))
@pytest.mark.parametrize("start", [2, 3, 4])
def test_a_count_that_would_leave_its_range_stays_at_the_nearest_end(step: int, start: int) -> None:
    bench = Bench()
    count = bench.keep("count", Number(2, 4, units=False), start)
    bench.change(count, Case(Add(Read(count), Fixed(step)), bench.button("b")))
    bench.claim("counts", Never(Truth(value=False)), BuiltIn.COUNTS)
    bench.claim("other", Never(Truth(value=False)))
    system = lower(bench.design())
    after = start + step
    assert counted(system, "count", bits("10")) == [start, min(max(after, 2), 4)]
    counts, other = system.questions
    assert seen(system, counts.bad, bits("01")) == f"0{int(not 2 <= after <= 4)}"
    assert other.bad is system.pool.no


def test_the_first_case_that_holds_wins_and_without_one_it_stays() -> None:
    bench = Bench()
    one, two = bench.button("one"), bench.button("two")
    mood = bench.keep("mood", Choice(("a", "b", "c")), 1)
    bench.change(mood, Case(Option(2), one), Case(PickIf(one, Option(1), Option(0)), two))
    flag = bench.keep("flag", Flag(), 1)
    bench.change(flag, Case(Not(Live(flag)), And((one, two))))
    other = bench.keep("other", Flag(), 0)
    bench.change(other, Case(Truth(value=True), one), Case(Truth(value=False), Or((one, two))))
    system = lower(bench.design())
    at = start_of(system)
    shown = []
    for row in [(0, 0), (1, 0), (0, 0), (0, 1), (1, 1), (1, 1), (0, 0)]:
        place = values(at, row, system.shown["mood"].nodes)
        assert sum(place) == 1
        (live,) = values(at, row, system.shown["flag"].nodes)
        (second,) = values(at, row, system.shown["other"].nodes)
        shown.append((place.index(True), live, second))
        at = following(system, at, row, ())
    places, lives, seconds = zip(*shown, strict=True)
    assert places == (1, 1, 2, 2, 0, 2, 2)
    assert lives == (True, True, True, True, True, False, True)
    assert seconds == (False, False, True, True, False, True, True)


def test_registers_carry_the_names_of_what_they_are_of() -> None:
    bench = Bench()
    bench.keep("n", Number(2, 4, units=False), 3)
    bench.keep("m", Choice(("x", "y")), 0)
    bench.keep("f", Flag(), 0)
    system = lower(bench.design())
    assert [(one.name, one.start, one.kept) for one in system.registers] == [
        ("n > 2", True, True),
        ("n > 3", False, True),
        ("m is y", False, True),
        ("f", False, True),
    ]


# --- timers ---------------------------------------------------------------------------------------


def test_loading_wins_over_running_and_shows_a_tick_later() -> None:
    bench = Bench()
    timer = bench.timer("t", 2)
    timer.loads = (load(bench.button("b"), 3),)
    system = lower(bench.design())
    assert left(system, bits("00001001100000")) == [2, 1, 0, 0, 0, 3, 2, 1, 3, 3, 2, 1, 0, 0]


def test_a_timer_pauses_while_its_run_condition_is_dead() -> None:
    bench = Bench()
    timer = bench.timer("t", 3)
    timer.runs = bench.button("b")
    assert left(lower(bench.design()), bits("01001011")) == [3, 3, 2, 2, 2, 1, 1, 0]


def test_a_sand_glass_is_turned_over() -> None:
    bench = Bench()
    timer = bench.timer("t", 5)
    timer.loads = (load(bench.button("b"), 7, turned=True),)
    assert left(lower(bench.design()), bits("001000000010")) == [
        5, 4, 3, 4, 3, 2, 1, 0, 0, 0, 0, 7,
    ]  # fmt: skip


def test_a_timer_ends_in_its_last_running_tick() -> None:
    bench = Bench()
    timer = bench.timer("t", 3)
    timer.runs = bench.button("b")
    ends = And((Above(timer, 0), Not(Above(timer, 1)), Running(timer)))
    bench.let("ends", ends)
    system = lower(bench.design())
    (node,) = system.shown["ends"].nodes
    assert seen(system, node, bits("1100111")) == "0000100"


def test_a_run_condition_may_read_other_nets_that_come_later() -> None:
    bench = Bench()
    first, second = bench.timer("first", 4), bench.timer("second", 2)
    runs = Net("runs", Flag(), bench.button("b").net.span, Role.LET, "")
    first.runs = Live(runs)
    bench.let("reads", Running(first))
    bench.nets.append(runs)
    runs.term = Not(Above(second, 0))
    system = lower(bench.design())
    assert left(system, bits("00000")) == [4, 4, 4, 3, 2]


def test_a_loop_through_no_kept_state_is_an_error_of_ours() -> None:
    bench = Bench()
    one = bench.let("one", Truth(value=True))
    two = bench.let("two", Not(one))
    one.net.term = Or((two,))
    with pytest.raises(AssertionError, match="loop through no kept state"):
        lower(bench.design())
