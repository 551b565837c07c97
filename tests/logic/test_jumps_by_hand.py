"""How many jumps are enough, counted by hand: what ends a jump, and what does not.

A jump too many costs time; one that is not there leaves out runs. See docs/adr/0012.
"""

from collections.abc import Callable
from dataclasses import replace

import pytest

from tests.logic.shed import LIMITS, Shed
from tests.properties.plants import earliest
from verifier.logic.judge import Case, judge
from verifier.logic.jumps import Unrolling
from verifier.logic.native import Result, Room
from verifier.system.expr import Node, Pool
from verifier.system.model import Load, System
from verifier.verdict.evidence import Closed
from verifier.verdict.trace import State, Step, Trace

MANY = 6
"""More jumps than any of the plants needs that come to an end."""


def enough(system: System, target: Node, *, anywhere: bool = False) -> int | None:
    """Return how many jumps are enough for all runs of any length; None if `MANY` are not."""
    part = Case(system, target, anywhere).cone
    with Room(logic="", seed=1) as room:
        unrolling = Unrolling(room, part, target, anywhere)
        for jumps in range(1, MANY + 1):
            assert room.check([unrolling.met(jumps - 1)]) is Result.UNSAT
            unrolling.extend()
            if room.check() is Result.UNSAT:
                return jumps
    return None


def shed_with_never() -> tuple[Shed, Node]:
    """Return a shed, and a flag in it that is never live."""
    shed = Shed()
    return shed, shed.bit("never")


def glass(
    start: int, seen: tuple[int, ...], loads: Callable[[Pool], list[Load]], *, runs: bool = True
) -> int | None:
    """Return the jumps of a glass whose comparisons `seen` are read, but change nothing."""
    shed, never = shed_with_never()
    pool = shed.pool
    clock = shed.clock("glass", loads(pool), start=start)
    if not runs:
        shed.runs(clock, never)
    return enough(shed.system(), pool.and_(never, *(pool.above(clock, k) for k in seen)))


def no_loads(_pool: Pool) -> list[Load]:
    return []


@pytest.mark.parametrize(
    ("start", "seen", "jumps"),
    [(5, (0,), 2), (5, (3, 0), 3), (5, (4, 3, 0), 4), (0, (0,), 1), (5, (5,), 1)],
)
def test_a_glass_stops_at_what_is_read_of_it(start: int, seen: tuple[int, ...], jumps: int) -> None:
    """One jump to each comparison below what it shows, and one that goes on for ever."""
    assert glass(start, seen, no_loads) == jumps


def test_a_glass_that_does_not_run_stays() -> None:
    assert glass(5, (3, 0), no_loads, runs=False) == 1


@pytest.mark.parametrize(
    ("start", "seen", "jumps"),
    [(5, (3, 0), 1), (2, (0,), 1), (2, (3, 0), 2), (2, (2,), 2), (5, (4,), 1), (4, (4,), 2)],
)
def test_a_load_that_lasts_is_one_jump(start: int, seen: tuple[int, ...], jumps: int) -> None:
    """Loaded with 5 at each tick: another only where a comparison tells 5 from the start."""
    assert glass(start, seen, lambda pool: [Load(pool.yes, 5, 5)]) == jumps


@pytest.mark.parametrize(
    ("seen", "jumps"),
    [((3,), 1), ((6,), 1), ((4,), None), ((5,), None), ((3, 6), 1), ((3, 5), None)],
)
def test_draws_end_a_jump_where_they_can_be_told_apart(seen: tuple[int, ...], jumps: int) -> None:
    """Of 4 .. 6, drawn at each tick, all are above 3 and none is above 6."""
    assert glass(5, seen, lambda pool: [Load(pool.yes, 4, 6)]) == jumps


@pytest.mark.parametrize(("start", "jumps"), [(3, 1), (2, None), (4, None), (6, None)])
def test_a_turned_glass_stays_where_it_is_in_the_middle(start: int, jumps: int | None) -> None:
    """Turned at each tick, 6 ticks of sand: 3 stay 3; 2 are 4 and then 2 again."""
    assert glass(start, (0,), lambda pool: [Load(pool.yes, 6, 6, turned=True)]) == jumps


def test_the_first_load_that_holds_is_the_one() -> None:
    """The others would move the glass at each tick."""
    stays, moves = (5, 5), (2, 4)
    assert glass(5, (3,), lambda it: [Load(it.yes, *stays), Load(it.yes, *moves)]) == 1
    assert glass(5, (3,), lambda it: [Load(it.yes, *moves), Load(it.yes, *stays)]) is None
    assert (
        glass(5, (3,), lambda it: [Load(it.yes, *stays), Load(it.no, 1, 1), Load(it.yes, *moves)])
        == 1
    )


def test_flags_end_a_jump_while_they_change() -> None:
    shed, never = shed_with_never()
    pool = shed.pool
    first, second = shed.bit("first"), shed.bit("second")
    shed.becomes(first, pool.yes)
    shed.becomes(second, first)
    system = shed.system()
    assert enough(system, never) == 1
    assert enough(system, pool.and_(never, first)) == 2
    assert enough(system, pool.and_(never, second)) == 3
    blinks = shed.bit("blinks")
    shed.becomes(blinks, pool.not_(blinks))
    assert enough(shed.system(), pool.and_(never, blinks)) is None


@pytest.mark.parametrize("first", [True, False])
def test_a_draw_can_come_out_otherwise_at_any_tick(first: bool) -> None:
    """Nothing but a draw ends the first jump at tick 2, and the target is met for that alone.

    A glass is loaded at each tick with 4 .. 6. Where it shows 4 for the first time, in tick t + 1
    by a draw in tick t, a fuse of 3 ticks is lit, which shows 1 in tick t + 4. The sand shows 3 in
    tick 6 only.
    """
    shed = Shed()
    pool = shed.pool
    always = [Load(pool.yes, 4, 6)]
    glass = shed.clock("glass", always, start=5) if first else 2
    fuse, sand = shed.clock("fuse"), shed.clock("sand", start=9)
    if not first:
        shed.clock("glass", always, start=5)
    low, was_low = pool.not_(pool.above(glass, 4)), shed.bit("was low")
    shed.becomes(was_low, pool.or_(was_low, low))
    shed.loads(fuse, Load(pool.and_(low, pool.not_(was_low)), 3, 3))
    burnt = pool.and_(pool.above(fuse, 0), pool.not_(pool.above(fuse, 1)))
    target = pool.and_(burnt, pool.above(sand, 2), pool.not_(pool.above(sand, 3)))
    case = Case(shed.system(), target, anywhere=False)
    assert judge(case, Closed(5, 6), LIMITS).ruling.sound
    for jumps in range(1, 8):
        assert not judge(case, Closed(6, jumps), LIMITS).ruling.sound


# --- presses -------------------------------------------------------------------------------------


def test_a_press_that_nobody_takes_notice_of_is_none() -> None:
    """It would set a lamp, load or stop a glass, or be asked about, if `never` were live."""
    shed, never = shed_with_never()
    pool = shed.pool
    go = shed.choice("go", 3)
    idle = pool.and_(go, never)
    lit = shed.bit("lit")
    shed.becomes(lit, pool.or_(lit, idle))
    loaded = shed.clock("loaded", [Load(idle, 5, 5)])
    kept = shed.clock("kept", start=5)
    shed.runs(kept, idle)
    system = shed.system(allowed=pool.not_(idle))
    target = pool.and_(never, go, lit, pool.above(loaded, 0), pool.above(kept, 2))
    assert enough(system, target) == 1


def test_a_press_counts_where_it_is_asked_about() -> None:
    """As the target or as what the assumptions forbid."""
    shed, never = shed_with_never()
    pool = shed.pool
    go = shed.choice("go")
    armed = shed.bit("armed", start=True)
    assert enough(shed.system(), pool.and_(go, never)) == 1
    assert enough(shed.system(allowed=pool.not_(pool.and_(armed, go))), pool.and_(never, go)) == 1
    assert enough(shed.system(allowed=pool.or_(armed, go)), pool.and_(never, go)) == 1


def test_a_lamp_is_lit_once() -> None:
    """Dark; the press; lit, and no press counts any more."""
    shed, never = shed_with_never()
    pool = shed.pool
    go, lit = shed.choice("go"), shed.bit("lit")
    shed.becomes(lit, pool.or_(lit, go))
    assert enough(shed.system(), pool.and_(never, lit)) == 3


@pytest.mark.parametrize("place", range(3))
def test_any_flag_may_be_what_a_press_changes(place: int) -> None:
    """The press at tick 0 lights one of three lamps, and only that."""
    shed = Shed()
    pool = shed.pool
    go, lamps = shed.choice("go"), [shed.bit(f"lamp{number}") for number in range(3)]
    shed.becomes(lamps[place], pool.or_(lamps[place], go))
    one = pool.and_(*(lamp if at == place else pool.not_(lamp) for at, lamp in enumerate(lamps)))
    case = Case(shed.system(), one, anywhere=False)
    assert judge(case, Closed(0, 1), LIMITS).ruling.sound
    for jumps in (1, 2, 3):
        assert not judge(case, Closed(1, jumps), LIMITS).ruling.sound


@pytest.mark.parametrize("place", range(3))
def test_any_glass_may_be_what_a_press_loads(place: int) -> None:
    """The press at tick 0 loads one of three glasses, by any of three loads."""
    for load in range(3):
        shed = Shed()
        pool = shed.pool
        go, never = shed.choice("go"), shed.bit("never")
        glasses = [shed.clock(f"glass{number}") for number in range(3)]
        loads = [Load(go if at == load else never, 5, 5) for at in range(3)]
        shed.loads(glasses[place], *loads)
        full = [pool.above(one, 0) for one in glasses]
        one = pool.and_(*(it if at == place else pool.not_(it) for at, it in enumerate(full)))
        case = Case(shed.system(), one, anywhere=False)
        assert judge(case, Closed(0, 1), LIMITS).ruling.sound
        for jumps in (1, 2):
            assert not judge(case, Closed(1, jumps), LIMITS).ruling.sound


def test_nothing_more_in_an_empty_glass_is_no_change() -> None:
    """It stays empty without the press, even for one who would turn it."""
    shed, never = shed_with_never()
    loads = [Load(shed.choice("go"), 0, 0), Load(never, 6, 6, turned=True)]
    full = shed.pool.above(shed.clock("glass", loads), 0)
    assert enough(shed.system(), shed.pool.and_(never, full)) == 1


def test_what_is_remembered_for_a_tick_counts_only_where_it_has_an_effect() -> None:
    """A lamp that is never armed reads the press of a tick ago: one jump, and the last is free."""
    shed = Shed()
    pool = shed.pool
    go, was, never, lit = shed.choice("go"), shed.bit("was"), shed.bit("never"), shed.bit("lit")
    shed.becomes(was, go)
    shed.becomes(lit, pool.or_(lit, pool.and_(never, was)))
    idle = shed.system()
    target = pool.and_(never, lit)
    assert enough(idle, target) == 2
    shed.becomes(lit, pool.or_(lit, was))
    # Rest, the press, the tick that remembers it, lit; and again one for the last, which is free.
    assert enough(shed.system(), target) == 5


@pytest.mark.parametrize(("span", "jumps"), [(2, 1), (3, 1), (4, None)])
def test_a_press_that_loads_counts_where_the_load_can_be_told(span: int, jumps: int | None) -> None:
    """Only more than 3 is read of the glass."""
    shed, never = shed_with_never()
    clock = shed.clock("glass", [Load(shed.choice("go"), span, span)])
    target = shed.pool.and_(never, shed.pool.above(clock, 3))
    assert enough(shed.system(), target) == jumps


@pytest.mark.parametrize("place", [0, 1])
def test_all_that_a_glass_shows_can_be_told_where_it_is_turned(place: int) -> None:
    """The press at tick 0 loads 2, at most 3 as before; turned at tick 1, of 6 ticks 4 are left."""
    shed = Shed()
    pool = shed.pool
    clock = shed.clock("glass")
    loads = [Load(shed.choice("go"), 2, 2)]
    loads.insert(place, Load(shed.choice("turn"), 6, 6, turned=True))
    shed.loads(clock, *loads)
    target = pool.and_(pool.above(clock, 3), pool.not_(pool.above(clock, 4)))
    system = shed.system()
    assert earliest(system, target) == 2
    assert judge(Case(system, target, anywhere=False), Closed(1, 2), LIMITS).ruling.sound
    for jumps in (1, 2, 3):
        assert not judge(
            Case(system, target, anywhere=False), Closed(2, jumps), LIMITS
        ).ruling.sound


@pytest.mark.parametrize(
    ("start", "loads", "seen", "above"),
    [(9, (2,), 3, False), (4, (5,), 4, True), (0, (5, 0), 0, True)],
    ids=["less than it would be", "more by two", "before a load that lasts"],
)
def test_a_press_loads_what_would_have_run(
    start: int, loads: tuple[int, ...], seen: int, above: bool
) -> None:
    """The press at tick 0 takes the first load; without it the glass runs, or takes the second."""
    shed = Shed()
    pool = shed.pool
    whens = [shed.choice("go"), pool.yes]
    row = [Load(when, span, span) for when, span in zip(whens, loads, strict=False)]
    clock = shed.clock("glass", row, start=start)
    told = pool.above(clock, seen)
    case = Case(shed.system(), told if above else pool.not_(told), anywhere=False)
    assert judge(case, Closed(0, 1), LIMITS).ruling.sound
    for jumps in (1, 2, 3):
        assert not judge(case, Closed(1, jumps), LIMITS).ruling.sound


def test_a_running_glass_passes_nothing_unseen() -> None:
    """The bell rings where the glass shows 2, so it has rung when the glass is empty.

    Jumps to 2, to 1, to 0, and the last.
    """
    shed = Shed()
    pool = shed.pool
    clock, rang = shed.clock("glass", start=5), shed.bit("rang")
    shed.becomes(
        rang, pool.or_(rang, pool.and_(pool.above(clock, 1), pool.not_(pool.above(clock, 2))))
    )
    target = pool.not_(pool.or_(rang, pool.above(clock, 0)))
    assert enough(shed.system(), target) == 4


def test_the_lowest_comparison_is_what_tells() -> None:
    """Loaded with 5, the glass shows more than 0 at tick 1, though never more than 8."""
    shed = Shed()
    pool = shed.pool
    clock = shed.clock("glass", [Load(shed.choice("go"), 5, 5)])
    case = Case(
        shed.system(), pool.and_(pool.not_(pool.above(clock, 8)), pool.above(clock, 0)), False
    )
    assert judge(case, Closed(0, 1), LIMITS).ruling.sound
    for jumps in (1, 2, 3):
        assert not judge(case, Closed(1, jumps), LIMITS).ruling.sound


def test_from_anywhere_a_glass_may_be_read_by_nobody() -> None:
    """Only what starts are there hangs on it; and it rules out that the lamp is dark."""
    shed, never = shed_with_never()
    pool = shed.pool
    lit = shed.bit("lit")
    clock = shed.clock("glass", start=2)
    system = shed.system(domain=pool.and_(lit, pool.above(clock, 1), pool.not_(never)))
    assert enough(system, pool.not_(lit), anywhere=True) == 1
    assert enough(system, never, anywhere=True) == 1
    case = Case(replace(system, domain=pool.above(clock, 1)), pool.not_(lit), anywhere=True)
    assert not judge(case, Closed(0, 1), LIMITS).ruling.sound


@pytest.mark.parametrize(("start", "jumps"), [(0, 1), (1, 3), (2, 5)])
def test_a_press_that_lets_a_glass_run_counts_while_there_is_sand(start: int, jumps: int) -> None:
    """Standing and running by turns, a tick of sand at a time, and at last empty."""
    shed, never = shed_with_never()
    pool = shed.pool
    clock = shed.clock("glass", start=start)
    shed.runs(clock, shed.choice("go"))
    assert enough(shed.system(), pool.and_(never, pool.above(clock, 0))) == jumps


def test_a_memory_counts_where_it_loads_or_is_asked_about() -> None:
    shed, never = shed_with_never()
    pool = shed.pool
    go, was = shed.choice("go"), shed.bit("was")
    shed.becomes(was, go)
    clock = shed.clock("glass", [Load(was, 2, 2)])
    assert enough(shed.system(), pool.and_(never, pool.above(clock, 1))) is None
    assert enough(shed.system(), pool.and_(never, pool.above(clock, 2))) == 2
    assert enough(shed.system(), pool.and_(never, was)) == 2
    assert judge(Case(shed.system(), was, anywhere=False), Closed(0, 1), LIMITS).ruling.sound
    assert not judge(Case(shed.system(), was, anywhere=False), Closed(1, 3), LIMITS).ruling.sound


@pytest.mark.parametrize("sand", [3, 4, 5])
def test_a_memory_of_a_long_jump_counts_in_its_second_tick(sand: int) -> None:
    """From tick 1 on, `other` is live, and `odd` remembers that `go` and `other` were not alike.

    What is odd lights the lamp while the glass shows more than 1. It shows 1 in tick sand - 1, and
    the lamp is dark by then only if `go` was idle in tick 0 and was pressed from tick 1 on. The
    press in tick 1 begins a jump up to tick sand - 1, and counts for what tick 2 would else be: at
    the end of the jump nobody reads the memory any more.
    """
    shed = Shed()
    pool = shed.pool
    go, other, odd, lit = shed.choice("go"), shed.bit("other"), shed.bit("odd"), shed.bit("lit")
    early = pool.above(shed.clock("glass", start=sand), 1)
    shed.becomes(other, pool.yes)
    shed.becomes(odd, pool.if_(other, pool.not_(go), go))
    shed.becomes(lit, pool.or_(lit, pool.and_(odd, early)))
    target = pool.not_(pool.or_(early, lit))
    system = shed.system()
    assert earliest(system, target) == sand - 1
    case = Case(system, target, anywhere=False)
    assert judge(case, Closed(sand - 2, sand), LIMITS).ruling.sound
    for jumps in (1, 2, 3, 4):
        assert not judge(case, Closed(sand - 1, jumps), LIMITS).ruling.sound


# --- comparisons ---------------------------------------------------------------------------------


def test_a_comparison_is_read_wherever_it_stands() -> None:
    """The glass shows 3 at tick 2; made the first and the last of all expressions."""
    shed = Shed()
    late = shed.pool.not_(shed.pool.above(0, 3))
    clock, always = shed.clock("glass", start=5), shed.pool.not_(shed.bit("never"))
    shed.runs(clock, always)
    case = Case(shed.system(allowed=always), late, anywhere=False)
    assert judge(case, Closed(1, 2), LIMITS).ruling.sound
    assert not judge(case, Closed(2, 2), LIMITS).ruling.sound
    shed = Shed()
    shut = shed.bit("shut", start=True)
    opens = shed.pool.not_(shut)
    clock = shed.clock("glass", start=5)
    shed.becomes(shut, shed.pool.above(clock, 3))
    case = Case(shed.system(), opens, anywhere=False)
    assert judge(case, Closed(2, 3), LIMITS).ruling.sound
    assert not judge(case, Closed(3, 3), LIMITS).ruling.sound


@pytest.mark.parametrize("anywhere", [True, False])
def test_a_run_is_read_off_up_to_the_first_tick_of_a_jump(anywhere: bool) -> None:
    """Pressed in tick 0, which draws 6 for the glass and lights the fuse; then let go for 2 ticks.

    What is outside of the cone, and draws that nobody makes, rest at 0; a start has its own value.
    """
    shed = Shed()
    pool = shed.pool
    aside, go = shed.choice("aside"), shed.choice("go")
    shed.clock("outside", [Load(aside, 7, 7)], start=1)
    glass = shed.clock("glass", [Load(go, 6, 7)], start=3, kept=False)
    fuse = shed.clock("fuse", [Load(go, 2, 2)], kept=False)
    system, target = shed.system(), pool.and_(pool.above(glass, 3), pool.above(fuse, 0))
    with Room(logic="", seed=1) as room:
        part = Case(system, target, anywhere).cone
        unrolling = Unrolling(room, part, target, anywhere)
        unrolling.extend()
        unrolling.extend()
        first, second, _ = unrolling.jumps
        six = room.equal(first.draws[glass][0].value, room.number(6))
        let_go = second.at.choices[1].taken[0]
        two = room.equal(second.length, room.number(2))
        assert room.check([unrolling.met(1), six, let_go, two]) is Result.SAT
        run = unrolling.trace(room.model(), 1)
    start = State((), (1, 3, 0)) if anywhere else None
    assert run == Trace((Step((0, 1), (0, 6, 0), 1), Step((0, 0), (0, 0, 0), 1)), start)
