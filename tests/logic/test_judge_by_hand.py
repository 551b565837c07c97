"""One piece of evidence of each kind, and what becomes of it when one thing in it is not so.

The plant is that of tests/logic/hut.py.
"""

from collections.abc import Callable
from dataclasses import replace

import pytest

from tests.engines.zones.workshop import question
from tests.logic.hut import (
    DRAWN,
    GO,
    HUT,
    OPENS,
    POOL,
    REST,
    SPOIL,
    SYSTEM,
    WEARS,
    WORN,
    hut,
    judged,
    ruled_out,
    sound,
)
from tests.logic.shed import LIMITS, Shed
from verifier.logic import second
from verifier.logic.judge import MOST_JUMPS, Case, Judged, judge, settled
from verifier.logic.native import Result, Room, SolverError, told
from verifier.logic.terms import Terms
from verifier.logic.tick import Limits
from verifier.system.model import System
from verifier.system.state import State, Step
from verifier.verdict.evidence import (
    Act,
    Asked,
    Certain,
    Circles,
    Closed,
    Explored,
    Foiled,
    Guided,
    Invariant,
    Patient,
    Reaches,
    Trapped,
)
from verifier.verdict.explored import Shows
from verifier.verdict.replay import Gap, Seen
from verifier.verdict.ruling import BOTH, SOLVER, SOUND, Finding, unsure, wrong
from verifier.verdict.trace import Lasso, Trace


def test_a_run_is_replayed() -> None:
    found = judged(Reaches(OPENS))
    assert found.ruling is SOUND
    assert found.after == State((True, False), (2,))
    assert not sound(Reaches(Trace((GO,))))
    assert not sound(Reaches(Trace((REST, REST))))
    elsewhere = Trace((REST,), State((True, False), (0,)))
    assert sound(Reaches(elsewhere), anywhere=True)
    assert not sound(Reaches(elsewhere))


def test_an_endless_run_is_followed_over_the_whole_system() -> None:
    lasso = Lasso(Trace((GO, replace(REST, ticks=4))), 4)
    found = judged(Circles(lasso))
    assert found.ruling is SOUND
    assert found.seen == Seen(1, in_loop=True, always_in_loop=True, longest_gap=Gap(0, 1))
    assert not sound(Circles(Lasso(lasso.trace, 1)), HUT.empty)
    assert not sound(Circles(lasso), system=ruled_out("go"))
    elsewhere = Lasso(Trace((REST,), State((True, False), (0,))), 0)
    assert sound(Circles(elsewhere), anywhere=True)
    assert not sound(Circles(elsewhere))
    # From anywhere, all that is kept in the domain has to come back.
    bounded = replace(SYSTEM, domain=POOL.not_(POOL.above(0, 2)))
    running = Lasso(Trace((REST,), State((False, False), (2,))), 0)
    assert sound(Circles(running), HUT.worn, anywhere=True)
    assert not sound(Circles(running), HUT.worn, system=bounded, anywhere=True)
    assert not sound(Circles(running), HUT.empty, anywhere=True)


def test_an_invariant_is_asked_about() -> None:
    shut = POOL.not_(HUT.opened)
    assert sound(Invariant(shut), system=ruled_out("go"))
    assert not sound(Invariant(shut))
    assert not sound(Invariant(shut), HUT.worn, system=ruled_out("go"))
    assert not sound(Invariant(shut), system=ruled_out("go"), anywhere=True)
    assert judged(Invariant(shut), system=ruled_out("go")).ruling.by == SOLVER


def test_an_invariant_over_several_ticks_is_asked_about_over_as_many() -> None:
    shed = Shed()
    bits = [shed.bit(f"b{place}") for place in range(3)]
    for place, bit in enumerate(bits):
        shed.becomes(bit, bits[(place + 1) % 3])
    system, dead = shed.system(), shed.pool.not_(bits[0])
    case = Case(system, bits[0], anywhere=False)
    for ticks in (1, 2, 3):
        ruling = judge(case, Invariant(dead, ticks), LIMITS).ruling
        assert ruling.sound == (ticks == 3)
    # From the state in which a trap shuts, too.
    trap = Trapped(Trace((Step((), (), 1),)), Invariant(dead, 3))
    assert judge(case, trap, LIMITS).ruling.sound
    assert not judge(case, replace(trap, inside=Invariant(dead, 1)), LIMITS).ruling.sound


def test_a_bounded_proof_covers_all_runs_up_to_its_tick() -> None:
    """The earliest opening is at tick 1; with a glass that shows 5 at the start, it is at tick 4.

    A press at tick 0 makes the glass show 3 at tick 1, so 1 at tick 3, and a press then opens.
    """
    assert sound(Closed(0, 1))
    for jumps in (1, 2, 5, 9):
        assert not sound(Closed(1, jumps))
        assert not sound(Closed(None, jumps))
    assert not sound(Closed(0, 0))
    slow = Case(replace(SYSTEM, clocks=(replace(SYSTEM.clocks[0], start=5),)), HUT.opened, False)
    assert judge(slow, Closed(3, 6), LIMITS).ruling.sound
    assert not judge(slow, Closed(4, 6), LIMITS).ruling.sound
    assert not judge(slow, Closed(9, 9), LIMITS).ruling.sound
    assert not judge(slow, Closed(3, 1), LIMITS).ruling.sound


def test_a_bounded_proof_without_end_needs_that_no_run_is_longer() -> None:
    """With nothing to press, the glass runs down to 1 in a jump; then one jump goes on for ever."""
    still = replace(ruled_out("go", "spoil"), clocks=(replace(SYSTEM.clocks[0], start=5),))
    assert not sound(Closed(None, 0), system=still)
    assert not sound(Closed(None, 1), system=still)
    for jumps in (2, 3):
        assert sound(Closed(None, jumps), system=still)
        assert sound(Closed(1000, jumps), system=still)
    none = replace(SYSTEM, allowed=POOL.no)
    assert sound(Closed(None, 0), system=none)


@pytest.mark.parametrize("until", [None, 1, 9])
@pytest.mark.parametrize("jumps", range(4))
def test_a_bounded_proof_counts_runs_that_begin_no_other_jump(
    until: int | None, jumps: int
) -> None:
    """A lamp that is lit stays so for ever, or can go no further: no jump comes after."""
    shed = Shed()
    lit, lights = shed.bit("lit", start=True), shed.bit("lights")
    shed.becomes(lights, shed.pool.yes)
    for_ever = shed.system()
    for target in (lit, lights):
        case = Case(for_ever, target, anywhere=False)
        assert judge(case, Closed(until, jumps), LIMITS).ruling.finding is Finding.WRONG
    ends = shed.system(allowed=shed.pool.not_(lights))
    case = Case(ends, lit, anywhere=False)
    assert judge(case, Closed(until, jumps), LIMITS).ruling.finding is Finding.WRONG


@pytest.mark.parametrize("jumps", [-1, MOST_JUMPS + 1])
def test_a_bounded_proof_of_too_many_jumps_is_not_looked_at(jumps: int) -> None:
    assert judged(Closed(3, jumps)).ruling.finding is Finding.UNSURE


def test_a_bounded_proof_that_takes_too_long_is_left_open() -> None:
    case = Case(SYSTEM, HUT.opened, anywhere=False)
    slow = replace(SYSTEM, clocks=(replace(SYSTEM.clocks[0], start=9),))
    ruling = judge(replace(case, system=slow), Closed(7, 12), Limits(steps=1, seconds=20)).ruling
    assert ruling.finding is Finding.UNSURE


@pytest.mark.parametrize(
    ("opinion", "finding", "by"),
    [
        (Result.UNSAT, Finding.SOUND, BOTH),
        (Result.UNKNOWN, Finding.SOUND, SOLVER),
        (Result.SAT, Finding.WRONG, ()),
    ],
)
def test_a_second_opinion_on_a_bounded_proof(
    opinion: Result, finding: Finding, by: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []

    def ask(build: Callable[[Terms], None], seconds: float) -> Result:
        with Room() as room:
            build(room)
            asked.append((room.check(), seconds))
        return opinion

    monkeypatch.setattr(second, "ask", ask)
    case = Case(SYSTEM, HUT.opened, anywhere=False)
    assert judge(case, Closed(0, 1), LIMITS).ruling.by == SOLVER
    assert not asked
    both = replace(LIMITS, second=True)
    ruling = judge(case, Closed(0, 1), both).ruling
    assert asked == [(Result.UNSAT, 20)]
    assert ruling.finding is finding
    assert ruling.by == by
    assert judge(case, Closed(1, 2), both).ruling.finding is Finding.WRONG


def test_a_list_shows_what_is_asked_of_it() -> None:
    """The state at rest, and for a cone of `worn` alone, the state that is worn."""
    fresh, worn = State((False, False), (0,)), State((False, True), (0,))
    both = Explored({fresh: 0, worn: 0}, {})
    assert sound(both, HUT.worn, shows=Shows.CAN_COME) is False
    assert sound(Explored({fresh: 1, worn: 0}, {}), HUT.worn, shows=Shows.CAN_COME)
    assert not sound(Explored({fresh: 1, worn: 0}, {}), HUT.worn)
    assert sound(Explored({fresh: 0}, {}), HUT.worn, system=ruled_out("go", "spoil"))
    assert not sound(Explored({worn: 0}, {}), HUT.worn, shows=Shows.CAN_COME)
    filled = replace(SYSTEM, clocks=(replace(SYSTEM.clocks[0], start=2),))
    assert sound(Explored({fresh: 1, worn: 0}, {}), HUT.worn, system=filled, shows=Shows.CAN_COME)


def test_a_trap_is_a_run_to_where_the_goal_cannot_come() -> None:
    """After wear nothing opens; before it, something can."""
    trap = Trapped(WEARS, Invariant(WORN))
    found = judged(trap)
    assert found.ruling.sound
    assert found.after == State((False, True), (0,))
    assert not sound(Trapped(Trace((REST,)), Invariant(WORN)))
    assert not sound(Trapped(Trace(()), Invariant(POOL.not_(HUT.opened))))
    assert not sound(trap, HUT.worn)
    assert not sound(trap, system=ruled_out("spoil"))
    assert judged(trap, system=ruled_out("spoil")).after is None
    assert not sound(Trapped(OPENS, Invariant(POOL.not_(HUT.worn)), None), HUT.opened)
    # Where the run leads is what counts, also for what a question from anywhere would leave free.
    assert sound(trap, anywhere=True)


def test_a_trap_may_be_a_list() -> None:
    worn = State((False, True), (0,))
    rows = {replace(worn, clocks=(shows,)): 0 for shows in range(4)}
    assert sound(Trapped(WEARS, Explored(rows, {})), shows=Shows.CAN_COME)
    assert not sound(Trapped(Trace((REST,)), Explored(rows, {})))
    assert not sound(Trapped(WEARS, Explored({worn: 0}, {})))
    del rows[replace(worn, clocks=(3,))]
    assert not sound(Trapped(WEARS, Explored(rows, {})))
    # Nothing but the lever matters to whether it is not worn; the glass stands outside.
    spoils, fresh = replace(SPOIL, choices=(1, 1)), POOL.not_(HUT.worn)
    assert sound(Trapped(Trace((spoils,)), Explored({worn: 0}, {})), fresh)


def test_a_trap_may_be_one_for_a_time_only() -> None:
    """After a press the glass shows 3, and it is sure not to be empty for two ticks more.

    The clock of the variant is the second one: it shows one more than `beyond` after the run.
    """
    full, told = Trace((GO,)), Invariant(POOL.gap(1, 0, 0))
    for beyond in (0, 1, 2):
        assert sound(Trapped(full, told, beyond=beyond), HUT.empty), beyond
        late = Trapped(Trace((GO, *(REST for _ in range(beyond + 1)))), told, beyond=2)
        assert not sound(late, HUT.empty)
    assert not sound(Trapped(full, told, beyond=3), HUT.empty)
    assert not sound(Trapped(full, told), HUT.empty)
    assert not sound(Trapped(Trace(()), told, beyond=0), HUT.empty)


def test_a_list_tells_how_far_away_a_trap_is() -> None:
    ranks = {State((False, False), (shows,)): shows for shows in range(4)}
    full, inside = Trace((GO,)), Explored(ranks, {})
    for beyond, fits in ((0, False), (1, False), (2, True), (3, False)):
        for shows in (Shows.CAN_COME, Shows.NEVER):
            late = Trapped(full, inside, beyond=beyond)
            assert sound(late, HUT.empty, shows=shows) is fits, beyond
    assert not sound(Trapped(Trace(()), inside, beyond=0), HUT.empty)
    assert sound(Trapped(Trace((GO, REST)), inside, beyond=1), HUT.empty)
    assert not sound(Trapped(Trace((GO, REST)), inside, beyond=2), HUT.empty)
    assert not sound(Trapped(full, inside), HUT.empty)
    for state, away in ranks.items():
        less = {one: rank for one, rank in ranks.items() if one != state}
        assert not sound(Trapped(full, Explored(less, {}), beyond=2), HUT.empty)
        more = Explored({**ranks, state: away + 1}, {})
        assert not sound(Trapped(full, more, beyond=2), HUT.empty)


PLAN = (Act((1, 0), 1), Act((0, 0), 1))


def test_a_guide_meets_the_goal_from_wherever_runs_lead() -> None:
    """Wear comes one tick after its press, from wherever: the press, the script, the goal."""
    held, done, left = POOL.register(2), POOL.register(3), 1
    spoils, waits = (Act((0, 1), 2), Act((0, 0), 1)), (Act((0, 0), 1),)
    seen = POOL.or_(done, POOL.and_(POOL.above(left, 0), HUT.worn))
    node = POOL.if_(held, seen, POOL.above(left, 1))
    assert sound(Guided(spoils, 1, node), HUT.worn)
    assert not sound(Guided(spoils, 0, node), HUT.worn)
    assert not sound(Guided(waits, 1, node), HUT.worn)
    assert not sound(Guided(spoils, 1, node), HUT.opened)
    assert not sound(Guided(spoils, 1, node), HUT.worn, system=ruled_out("spoil"))
    assert sound(Guided(spoils, 1, node), HUT.worn, system=ruled_out("go"))


@pytest.mark.parametrize(
    "script",
    [
        (),
        (Act((1, 0), 0), Act((0, 0), 1)),
        (Act((1, 0), 1), Act((0, 0), 0)),
        (Act((1,), 1),),
        (Act((1, 0, 0), 1),),
        (Act((2, 0), 1),),
        (Act((0, -1), 1),),
    ],
)
def test_a_script_has_acts_that_people_can_do(script: tuple[Act, ...]) -> None:
    ruling = judged(Guided(script, 1, POOL.yes), POOL.yes).ruling
    assert "plan" in ruling.words
    assert ruling.finding is Finding.WRONG
    held, done, whole = POOL.register(2), POOL.register(3), POOL.above(1, 1)
    node = POOL.and_(POOL.or_(POOL.not_(held), done), POOL.or_(held, whole))
    assert sound(Guided(PLAN, 1, node), POOL.yes)
    assert not sound(Guided(PLAN, 1, POOL.yes), POOL.yes)


def test_patience_is_asked_about_with_a_clock_that_counts() -> None:
    """The glass runs for three ticks after the last press; without a press it never runs."""
    runs, clock = POOL.above(0, 0), 1
    never = ruled_out("go")
    node = POOL.and_(POOL.not_(runs), POOL.above(clock, 3))
    assert sound(Patient(4, node), runs, system=never)
    assert not sound(Patient(4, POOL.yes), runs, system=never)
    assert not sound(Patient(4, node), runs)
    assert not sound(Patient(4, POOL.not_(runs)), runs)


def test_a_certain_way_meets_the_goal_from_the_start_whatever_is_drawn() -> None:
    """Wear comes one tick after its press: the press, the run, the goal."""
    done, left = POOL.register(2), 1
    node = POOL.or_(done, POOL.above(left, 1), POOL.and_(POOL.above(left, 0), HUT.worn))
    way = Trace((SPOIL, REST))
    found = judged(Certain(way, 1, node), HUT.worn)
    assert found.ruling.sound
    assert found.after is not None
    assert found.after.registers == (False, True)
    assert not sound(Certain(way, 0, node), HUT.worn)
    assert not sound(Certain(Trace((REST, REST)), 1, node), HUT.worn)
    assert not sound(Certain(Trace((SPOIL, SPOIL)), 1, POOL.yes), HUT.worn)
    assert not sound(Certain(way, 1, node), HUT.worn, system=ruled_out("spoil"))
    assert not sound(Certain(Trace(way.steps, State((False, False), (1,))), 1, node), HUT.worn)
    assert not sound(Certain(Trace(()), 1, node), HUT.worn)
    assert not sound(Certain(Trace((replace(SPOIL, choices=(0, 2)), REST)), 1, node), HUT.worn)


def test_a_way_owed_to_luck_is_not_certain() -> None:
    """The glass shows more than 2 a tick after a press only if it was drawn so."""
    late = POOL.above(0, 2)
    done, left = POOL.register(2), 1
    node = POOL.or_(done, POOL.above(left, 1), POOL.and_(POOL.above(left, 0), late))
    run = Trace((replace(GO, draws=(3,)), replace(REST, draws=(3,))))
    assert sound(Reaches(run), late, system=DRAWN)
    assert not sound(Certain(run, 1, node), late, system=DRAWN)
    assert sound(Certain(Trace((GO, REST)), 1, node), late)


def test_spans_may_foil_all_choices() -> None:
    """The glass never shows more than 2 where it is always loaded with 1."""
    late = POOL.above(0, 2)
    never = POOL.not_(late)
    assert sound(Foiled(longest=False, node=never), late, system=DRAWN)
    assert not sound(Foiled(longest=True, node=never), late, system=DRAWN)
    # From anywhere the glass can be left with more than it is loaded with.
    assert not sound(Foiled(longest=False, node=never), late, system=DRAWN, anywhere=True)
    low = replace(DRAWN, domain=never)
    assert sound(Foiled(longest=False, node=never), late, system=low, anywhere=True)
    picky = replace(DRAWN, allowed=POOL.not_(POOL.and_(HUT.worn, late)))
    left_out = judged(Foiled(longest=False, node=never), late, system=picky).ruling
    assert left_out.finding is Finding.UNSURE
    assert "leave out" in left_out.words
    plain = replace(DRAWN, allowed=POOL.not_(HUT.spoil))
    assert sound(Foiled(longest=False, node=never), late, system=plain)


# --- whether it settles what is asked ------------------------------------------------------------


def case_of(system: System, *, anywhere: bool = False) -> Case:
    return Case(system, HUT.opened, anywhere)


def test_what_is_not_sound_settles_nothing() -> None:
    for ruling in (wrong("no"), unsure("time")):
        for evidence in (Reaches(OPENS), Circles(Lasso(OPENS, 0)), Closed(None, 1)):
            found = settled(case_of(SYSTEM), Asked.BAD, evidence, Judged(ruling))
            assert found == ruling


def test_a_run_goes_on_within_the_assumptions() -> None:
    onward = Lasso(Trace((REST,)), 0)
    after = State((True, False), (2,))
    found = Judged(SOUND, after)
    kinds: tuple[Reaches | Trapped, ...] = (Reaches(OPENS), Trapped(OPENS, Invariant(POOL.yes)))
    assumed = case_of(ruled_out("spoil"))
    for evidence in kinds:
        assert settled(case_of(SYSTEM), Asked.BAD, evidence, found).sound
        assert settled(assumed, Asked.BAD, evidence, found).finding is Finding.UNSURE
        shown = replace(evidence, onward=onward)
        assert settled(assumed, Asked.BAD, shown, found).sound
        assert not settled(assumed, Asked.BAD, shown, Judged(SOUND)).sound
        breaks = replace(evidence, onward=Lasso(WEARS, 0))
        assert settled(assumed, Asked.BAD, breaks, found).finding is Finding.WRONG


def test_what_tells_of_all_runs_settles_what_is_asked() -> None:
    for evidence in (Closed(None, 1), Invariant(POOL.yes), Explored({}, {}), Patient(1, POOL.yes)):
        assert settled(case_of(ruled_out("go")), Asked.BAD, evidence, Judged(SOUND)) is SOUND


@pytest.mark.parametrize(
    ("asked", "field", "shows"),
    [
        (Asked.BAD, "bad", Shows.NEVER),
        (Asked.GOAL, "goal", Shows.NEVER),
        (Asked.TRIGGER, "trigger", Shows.NEVER),
        (Asked.WAITING, "waiting", Shows.MUST_COME),
        (Asked.OPEN, "goal", Shows.CAN_COME),
    ],
)
def test_a_case_is_about_what_is_asked(asked: Asked, field: str, shows: Shows) -> None:
    plain = question(HUT.opened, POOL)
    asking = replace(plain, goal=HUT.worn, waiting=HUT.go, trigger=HUT.spoil)
    for anywhere in (False, True):
        case = Case.of(SYSTEM, replace(asking, anywhere=anywhere), asked)
        assert case == Case(SYSTEM, getattr(asking, field), anywhere, shows)


def test_an_endless_run_waits_for_ever_or_is_the_only_one() -> None:
    lasso = Circles(Lasso(Trace((REST,)), 0))
    closed = case_of(SYSTEM)
    fixed = replace(SYSTEM, clocks=(replace(SYSTEM.clocks[0], loads=()),))
    alone = Case(fixed, POOL.above(0, 0), anywhere=False)

    def settles(case: Case, asked: Asked, seen: Seen | None) -> bool:
        found = settled(case, asked, lasso, Judged(SOUND, seen=seen))
        assert found.sound or found.finding is Finding.UNSURE
        return found.sound

    never = Seen(None, in_loop=False, always_in_loop=False, longest_gap=None)
    once = Seen(0, in_loop=False, always_in_loop=False, longest_gap=None)
    often = Seen(1, in_loop=True, always_in_loop=False, longest_gap=Gap(0, 3))
    always = Seen(1, in_loop=True, always_in_loop=True, longest_gap=Gap(0, 1))
    for case in (closed, replace(alone, anywhere=True)):
        for asked in Asked:
            for seen in (never, once, often, always):
                waits = asked is Asked.WAITING and seen is always
                assert settles(case, asked, seen) == waits, (asked, seen)
    for seen in (never, once, often, always):
        assert settles(alone, Asked.WAITING, seen)
        assert settles(alone, Asked.OPEN, seen)
        assert settles(alone, Asked.BAD, seen) == (seen is never)
    assert not settles(closed, Asked.WAITING, None)


@pytest.mark.parametrize("want", [MemoryError(), SolverError("the solver broke down")], ids=repr)
def test_what_memory_or_the_solver_is_wanting_for_is_not_shown(
    monkeypatch: pytest.MonkeyPatch, want: MemoryError | SolverError
) -> None:
    one = hut()
    true = one.system.pool.yes

    def broken(*_args: object, **_named: object) -> int:
        raise want

    case = Case(one.system, one.opened, anywhere=False)
    assert judge(case, Invariant(true), LIMITS).ruling.finding is Finding.WRONG
    monkeypatch.setattr(Room, "check", broken)
    ruling = judge(case, Invariant(true), LIMITS).ruling
    assert ruling.finding is Finding.UNSURE
    assert told(want) in ruling.words
