"""What makes an invariant wrong, one cause at a time; each has a twin without it that is taken."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import product

import pytest

from tests.bank.plants import interlock
from tests.engines.zones.oracle import afterwards, all_choices, every_state
from tests.logic.shed import LIMITS, Shed
from verifier.logic import second
from verifier.logic.native import Result, Room, Term
from verifier.logic.terms import Terms
from verifier.logic.tick import MOST_TICKS, Limits, Tick, any_tick, judge_invariant, next_tick
from verifier.system.cone import whole
from verifier.system.expr import Node
from verifier.system.model import Load, System
from verifier.system.state import State
from verifier.verdict.ruling import BOTH, SOLVER, Finding, Ruling

START, MEETS, LEFT = "at the start", "does not exclude", "left by a tick"


def ruled(
    system: System,
    node: Node,
    target: Node | None = None,
    *,
    anywhere: bool = False,
    ticks: int = 1,
) -> Ruling:
    target = system.pool.no if target is None else target
    return judge_invariant(system, node, target, LIMITS, anywhere=anywhere, ticks=ticks)


def sound(
    system: System,
    node: Node,
    target: Node | None = None,
    *,
    anywhere: bool = False,
    ticks: int = 1,
) -> bool:
    ruling = ruled(system, node, target, anywhere=anywhere, ticks=ticks)
    assert ruling.sound == (ruling.words == "")
    assert not ruling.sound or ruling.by == SOLVER
    return ruling.sound


def wrong(
    words: str,
    system: System,
    node: Node,
    target: Node | None = None,
    *,
    anywhere: bool = False,
    ticks: int = 1,
) -> bool:
    ruling = ruled(system, node, target, anywhere=anywhere, ticks=ticks)
    return ruling.finding is Finding.WRONG and words in ruling.words


# --- one tick ------------------------------------------------------------------------------------


def mill() -> System:
    """Two registers that swap, a clock with loads of all kinds, one that runs now and then."""
    shed = Shed()
    pool = shed.pool
    go, _ = shed.choice("go", 3), shed.choice("aside")
    one, two = shed.bit("one"), shed.bit("two", start=True)
    shed.becomes(one, two)
    shed.becomes(two, pool.if_(pool.above(0, 1), pool.not_(one), go))
    glass, slow = shed.clock("glass", start=1), shed.clock("slow", start=4)
    draws, turns = Load(go, 2, 4), Load(pool.pick(0, 2), 3, 3, turned=True)
    fixed = Load(pool.and_(one, two), 5, 5)
    shed.loads(glass, draws, turns, fixed)
    shed.loads(slow, Load(pool.and_(go, one), 0, 1))
    shed.runs(slow, pool.or_(pool.pick(1, 1), pool.above(glass, 2)))
    return shed.system()


def stands(room: Room, tick: Tick, state: State, choices: tuple[int, ...]) -> Iterator[Term]:
    """Yield terms that say where a tick stands."""
    for index, live in enumerate(state.registers):
        term = tick.registers[index]
        yield term if live else room.not_(term)
    for index, shows in enumerate(state.clocks):
        yield room.equal(tick.clocks[index], room.number(shows))
    for index, option in enumerate(choices):
        yield tick.choices[index].taken[option]


def test_each_tick_leads_where_it_should_and_nowhere_else() -> None:
    system = mill()
    shown = list(product(range(-1, 7), range(-1, 6)))
    choices = list(all_choices(system))
    with Room() as room:
        everything = whole(system)
        tick = any_tick(room, everything)
        after = next_tick(room, everything, tick)
        for place, state in enumerate(every_state(system)):
            row = choices[place % len(choices)]
            at = list(stands(room, tick, state, row))
            true = set(afterwards(system, state, row))
            (bits,) = {one.registers for one in true}
            for index, live in enumerate(bits):
                term = after.registers[index]
                assert room.check([*at, room.not_(term) if live else term]) is Result.UNSAT
            told = [
                room.and_(room.equal(after.clocks[i], room.number(n)) for i, n in enumerate(one))
                for one in shown
            ]
            drawn = {one.clocks for one in true}
            for clocks, term in zip(shown, told, strict=True):
                if clocks in drawn:
                    assert room.check([*at, term]) is Result.SAT
            others = [
                room.not_(term) for clocks, term in zip(shown, told, strict=True) if clocks in drawn
            ]
            assert room.check([*at, *others]) is Result.UNSAT


def test_all_that_can_be_is_thought_of_and_nothing_else() -> None:
    """Each value that a clock can show, 0 and the longest too; each option of a choice."""
    system = mill()
    pool = system.pool
    for clock, longest in enumerate((5, 4)):
        for shows in range(longest + 1):
            at = pool.and_(pool.above(clock, shows - 1), pool.not_(pool.above(clock, shows)))
            assert wrong(MEETS, system, pool.yes, at)
        assert sound(system, pool.yes, pool.above(clock, longest))
        # Less than nothing: further below the other than that can stand.
        assert sound(system, pool.yes, pool.gap(clock, 1 - clock, -1 - (4, 5)[clock]))
    assert wrong(MEETS, system, pool.yes, pool.gap(0, 1, -4))
    assert wrong(MEETS, system, pool.yes, pool.not_(pool.gap(0, 1, 4)))
    assert sound(system, pool.yes, pool.not_(pool.gap(0, 1, 5)))
    for index in range(2):
        assert wrong(MEETS, system, pool.yes, pool.register(index))
        assert wrong(MEETS, system, pool.yes, pool.not_(pool.register(index)))
    for choice, options in enumerate((3, 2)):
        for option in range(options):
            assert wrong(MEETS, system, pool.yes, pool.pick(choice, option))
        none = pool.and_(*(pool.not_(pool.pick(choice, option)) for option in range(options)))
        assert sound(system, pool.yes, none)
        two = pool.and_(pool.pick(choice, 0), pool.pick(choice, 1))
        assert sound(system, pool.yes, two)


# --- the three questions -------------------------------------------------------------------------


def test_an_invariant_holds_at_the_start() -> None:
    shed = Shed()
    pool = shed.pool
    off, on = shed.bit("off"), shed.bit("on", start=True)
    shed.becomes(on, pool.no)
    shed.becomes(off, pool.no)
    glass = shed.clock("glass", start=3)
    still = shed.clock("still", start=2)
    system = shed.system()
    for node in (pool.not_(on), pool.not_(pool.above(glass, 2)), pool.not_(pool.above(still, 1))):
        assert wrong(START, system, node)
    for node in (pool.not_(off), pool.not_(pool.above(still, 2)), pool.not_(pool.above(glass, 3))):
        assert sound(system, node)
    assert wrong(LEFT, system, pool.above(glass, 2))
    assert wrong(LEFT, system, on)
    assert wrong(START, system, pool.no)


def test_an_invariant_excludes_the_target() -> None:
    shed = Shed()
    pool = shed.pool
    bit, other = shed.bit("bit"), shed.bit("other")
    press = shed.choice("press")
    system = shed.system()
    assert wrong(MEETS, system, pool.not_(bit), other)
    assert sound(system, pool.not_(bit), bit)
    assert sound(system, pool.not_(bit), pool.and_(bit, press))
    assert wrong(MEETS, system, pool.not_(bit), press)
    assert sound(replace(system, allowed=pool.not_(press)), pool.not_(bit), press)
    assert sound(replace(system, allowed=pool.not_(other)), pool.not_(bit), other)


def test_an_invariant_is_kept_by_every_allowed_tick() -> None:
    shed = Shed()
    pool = shed.pool
    press = shed.choice("press")
    bit = shed.bit("bit")
    shed.becomes(bit, pool.or_(bit, press))
    system = shed.system()
    assert wrong(LEFT, system, pool.not_(bit), bit)
    assert sound(replace(system, allowed=pool.not_(press)), pool.not_(bit), bit)
    assert wrong(LEFT, replace(system, allowed=press), pool.not_(bit), bit)


@pytest.mark.parametrize(("low", "high"), [(2, 4), (0, 3), (3, 3), (1, 2)])
def test_a_draw_comes_up_at_both_its_ends(low: int, high: int) -> None:
    shed = Shed()
    pool = shed.pool
    press = shed.choice("press")
    fresh = shed.bit("fresh")
    shed.becomes(fresh, press)
    glass = shed.clock("glass", [Load(press, low, high)])
    system = shed.system()
    assert sound(system, pool.not_(pool.above(glass, high)))
    assert sound(system, pool.or_(pool.not_(fresh), pool.above(glass, low - 1)))
    if high > low:
        assert wrong(LEFT, system, pool.not_(pool.above(glass, high - 1)))
    assert wrong(LEFT, system, pool.or_(pool.not_(fresh), pool.above(glass, low)))


def test_the_first_load_that_holds_is_taken() -> None:
    shed = Shed()
    pool = shed.pool
    one, two = shed.choice("one"), shed.choice("two")
    glass = shed.clock("glass", [Load(one, 2, 2), Load(two, 5, 5)])
    fresh = shed.bit("fresh")
    shed.becomes(fresh, pool.and_(one, two))
    system = shed.system()
    assert sound(system, pool.or_(pool.not_(fresh), pool.not_(pool.above(glass, 2))))
    assert wrong(LEFT, system, pool.not_(pool.above(glass, 2)))


def test_a_turned_load_leaves_the_rest_and_never_less_than_nothing() -> None:
    shed = Shed()
    pool = shed.pool
    turn, fill = shed.choice("turn"), shed.choice("fill")
    fresh = shed.bit("fresh")
    shed.becomes(fresh, turn)
    glass = shed.clock("glass", [Load(turn, 3, 3, turned=True), Load(fill, 5, 5)], start=3)
    zero = shed.clock("zero")
    system = shed.system()
    assert sound(system, pool.or_(pool.not_(fresh), pool.not_(pool.above(glass, 3))))
    assert wrong(LEFT, system, pool.or_(pool.not_(fresh), pool.not_(pool.above(glass, 2))))
    below = pool.gap(glass, zero, -1)
    assert sound(system, pool.and_(pool.not_(pool.above(zero, 0)), pool.not_(below)))


def test_a_clock_stops_at_nothing_and_where_it_does_not_run() -> None:
    shed = Shed()
    pool = shed.pool
    go = shed.choice("go")
    glass, zero = shed.clock("glass", start=2), shed.clock("zero")
    shed.runs(glass, go)
    system = shed.system()
    at_rest = pool.not_(pool.above(zero, 0))
    assert sound(system, pool.and_(at_rest, pool.not_(pool.gap(glass, zero, -1))))
    assert wrong(LEFT, system, pool.above(glass, 1))
    assert wrong(LEFT, system, pool.above(glass, 0))
    assert sound(replace(system, allowed=pool.not_(go)), pool.above(glass, 1))
    one_left = pool.and_(pool.above(glass, 0), pool.not_(pool.above(glass, 1)))
    gone = replace(system.clocks[glass], start=1)
    assert wrong(LEFT, replace(system, clocks=(gone, system.clocks[zero])), one_left)


# --- from anywhere -------------------------------------------------------------------------------


def test_from_anywhere_what_is_kept_is_free_within_the_domain() -> None:
    shed = Shed()
    pool = shed.pool
    bit, other = shed.bit("bit"), shed.bit("other")
    fixed = shed.bit("fixed", kept=False)
    raised = shed.bit("raised", start=True, kept=False)
    glass = shed.clock("glass", [Load(pool.no, 4, 4)])
    watch = shed.clock("watch", [Load(pool.no, 4, 4)], start=1, kept=False)
    shed.runs(watch, pool.no)
    system = shed.system()
    for node in (pool.not_(bit), pool.not_(pool.above(glass, 0)), pool.not_(pool.above(glass, 3))):
        assert sound(system, node)
        assert wrong(START, system, node, anywhere=True)
    for node in (
        pool.not_(fixed),
        raised,
        pool.not_(pool.above(watch, 1)),
        pool.above(watch, 0),
        pool.not_(pool.above(glass, 4)),
    ):
        assert sound(system, node, anywhere=True)
    assert wrong(START, system, pool.or_(bit, pool.above(glass, 0)), anywhere=True)
    never = replace(system, domain=pool.and_(pool.not_(bit), pool.not_(pool.above(glass, 2))))
    assert sound(never, pool.not_(bit), anywhere=True)
    assert sound(never, pool.not_(pool.above(glass, 2)), anywhere=True)
    assert wrong(START, never, pool.not_(pool.above(glass, 1)), anywhere=True)
    assert wrong(MEETS, system, pool.yes, pool.and_(bit, pool.above(glass, 2)), anywhere=True)
    # What the domain ties to something counts, though neither node nor target reads it.
    tied = replace(system, domain=pool.and_(pool.or_(bit, other), pool.not_(other)))
    assert sound(tied, bit, pool.not_(bit), anywhere=True)
    # The domain is about tick 0 alone.
    assert sound(replace(system, domain=bit), pool.not_(bit), anywhere=False)
    assert wrong(START, replace(system, domain=bit), bit, anywhere=False)
    moved = list(system.registers)
    moved[0] = replace(moved[0], next=pool.yes)
    assert wrong(LEFT, replace(never, registers=tuple(moved)), pool.not_(bit), anywhere=True)


# --- over several ticks --------------------------------------------------------------------------


def ring(start: tuple[bool, bool, bool], *, allowed: bool = True) -> tuple[System, Node]:
    """Three bits that go round; return: the first of them is dead."""
    shed = Shed()
    pool = shed.pool
    bits = [shed.bit(f"b{place}", start=live) for place, live in enumerate(start)]
    for place, bit in enumerate(bits):
        shed.becomes(bit, bits[(place + 1) % 3])
    system = shed.system(allowed=pool.const(allowed))
    return system, pool.not_(bits[0])


def test_an_induction_needs_as_many_ticks_as_it_needs() -> None:
    system, dead = ring((False, False, False))
    live = system.pool.not_(dead)
    for ticks in (1, 2):
        assert wrong(LEFT, system, dead, live, ticks=ticks)
    for ticks in (3, 4):
        assert sound(system, dead, live, ticks=ticks)


@pytest.mark.parametrize("first", range(3))
def test_each_of_the_first_states_has_to_meet_it(first: int) -> None:
    """One bit is live and comes to the front at the given tick: the base is where it is seen."""
    system, dead = ring((first == 0, first == 1, first == 2))
    live = system.pool.not_(dead)
    for ticks in (1, 2, 3, 4):
        words = START if ticks > first else LEFT
        assert wrong(words, system, dead, live, ticks=ticks)


def test_each_tick_of_an_induction_has_choices_of_its_own() -> None:
    """`lost` is set by letting go, which needs a press and then none."""
    shed = Shed()
    pool = shed.pool
    press = shed.choice("press")
    was, lost = shed.bit("was"), shed.bit("lost")
    shed.becomes(was, press)
    shed.becomes(lost, pool.or_(lost, pool.and_(was, pool.not_(press))))
    system = shed.system()
    for ticks in (1, 2, 3):
        assert not sound(system, pool.not_(lost), lost, ticks=ticks)


def test_each_tick_of_an_induction_draws_anew() -> None:
    """Two draws in a row that differ."""
    shed = Shed()
    pool = shed.pool
    glass = shed.clock("glass", [Load(pool.yes, 1, 2)], start=1)
    was, fell = shed.bit("was"), shed.bit("fell")
    shed.becomes(was, pool.above(glass, 1))
    shed.becomes(fell, pool.or_(fell, pool.and_(was, pool.not_(pool.above(glass, 1)))))
    system = shed.system()
    for ticks in (2, 3):
        assert not sound(system, pool.not_(fell), fell, ticks=ticks)


def test_each_tick_of_an_induction_is_allowed() -> None:
    shed = Shed()
    pool = shed.pool
    stuck, lit = shed.bit("stuck", start=True), shed.bit("lit")
    shed.becomes(lit, pool.yes)
    system = shed.system(allowed=pool.not_(stuck))
    node = pool.and_(stuck, pool.not_(lit))
    for ticks in (1, 2, 3):
        assert sound(system, node, lit, ticks=ticks)
        assert not sound(replace(system, allowed=pool.yes), node, lit, ticks=ticks)


def test_each_tick_of_an_induction_may_rely_on_the_assumptions() -> None:
    shed = Shed()
    pool = shed.pool
    press = shed.choice("press")
    was, lost = shed.bit("was"), shed.bit("lost")
    shed.becomes(was, press)
    twice = pool.and_(was, press)
    shed.becomes(lost, pool.or_(lost, twice))
    system = shed.system(allowed=pool.not_(twice))
    for ticks in (1, 2, 3):
        assert sound(system, pool.not_(lost), lost, ticks=ticks)


# --- what is refused unseen ----------------------------------------------------------------------


def test_an_induction_is_over_some_ticks_and_not_too_many() -> None:
    system, dead = ring((False, False, False))
    for ticks in (-1, 0, MOST_TICKS + 1):
        assert wrong("ticks", system, dead, ticks=ticks)


def test_an_invariant_speaks_of_what_is_there_and_of_no_choice() -> None:
    shed = Shed()
    pool = shed.pool
    press, bit, glass = shed.choice("press"), shed.bit("bit"), shed.clock("glass")
    system = shed.system()
    for strange in (pool.register(1), pool.above(1, 0), pool.gap(0, 1, 2), pool.gap(3, 0, 2)):
        assert wrong("not there", system, strange)
        assert wrong("not there", system, pool.or_(strange, pool.not_(bit)))
    assert wrong("choices", system, pool.or_(press, pool.not_(bit)))
    assert sound(system, pool.and_(pool.not_(bit), pool.not_(pool.above(glass, 0))))


@pytest.mark.parametrize(("low", "high"), [(-1, 2), (3, 2), (-2, -1)])
@pytest.mark.parametrize("place", range(4))
def test_spans_lie_in_range(low: int, high: int, place: int) -> None:
    shed = Shed()
    pool = shed.pool
    spans = [(0, 0), (0, 2), (2, 2), (1, 3)]
    for first in (0, 2):
        loads = [Load(pool.no, *spans[first]), Load(pool.no, *spans[first + 1])]
        shed.clock(f"clock{first}", loads)
    system = shed.system()
    assert sound(system, pool.not_(pool.above(0, 2)))
    clocks = list(system.clocks)
    loads = list(clocks[place // 2].loads)
    loads[place % 2] = Load(pool.no, low, high)
    clocks[place // 2] = replace(clocks[place // 2], loads=tuple(loads))
    assert wrong("range", replace(system, clocks=tuple(clocks)), pool.not_(pool.above(0, 2)))


@pytest.mark.parametrize("place", range(3))
def test_starts_lie_in_range(place: int) -> None:
    shed = Shed()
    for number in range(3):
        shed.clock(f"clock{number}", [Load(shed.pool.no, 0, 2)])
    system = shed.system()
    clocks = list(system.clocks)
    clocks[place] = replace(clocks[place], start=-1)
    assert sound(system, shed.pool.not_(shed.pool.above(0, 0)))
    assert wrong("range", replace(system, clocks=tuple(clocks)), shed.pool.yes)


# --- limits and a second opinion -----------------------------------------------------------------


def test_without_steps_the_judge_is_unsure() -> None:
    door = interlock(yields=True)
    node = door.system.pool.not_(door.target)
    limits = Limits(steps=1, seconds=20)
    ruling = judge_invariant(door.system, node, door.target, limits, anywhere=False)
    assert ruling.finding is Finding.UNSURE


@pytest.mark.parametrize(
    ("opinions", "finding", "by"),
    [
        ("UUU", Finding.SOUND, BOTH),
        ("UU?", Finding.SOUND, SOLVER),
        ("?UU", Finding.SOUND, SOLVER),
        ("SUU", Finding.WRONG, ()),
        ("UUS", Finding.WRONG, ()),
    ],
)
def test_a_second_opinion_on_each_question(
    opinions: str, finding: Finding, by: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    kinds = {"U": Result.UNSAT, "S": Result.SAT, "?": Result.UNKNOWN}
    left = list(opinions)

    def ask(build: Callable[[Terms], None], seconds: float) -> Result:
        assert seconds == 20
        with Room() as room:
            build(room)
            assert room.check() is Result.UNSAT
        return kinds[left.pop(0)]

    monkeypatch.setattr(second, "ask", ask)
    system, dead = ring((False, False, False))
    bits = system.pool.not_(system.pool.or_(*(system.pool.register(index) for index in range(3))))
    target = system.pool.not_(dead)
    ruling = judge_invariant(system, bits, target, LIMITS, anywhere=False)
    assert ruling.by == SOLVER
    assert left == list(opinions)
    ruling = judge_invariant(system, bits, target, replace(LIMITS, second=True), anywhere=False)
    assert ruling.finding is finding
    assert ruling.by == by
