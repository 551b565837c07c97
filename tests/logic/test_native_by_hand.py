"""What each term of a room stands for, what is folded, and what comes of each call that fails."""

import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import product
from typing import Any

import pytest

from tests.logic.test_native import pigeons
from verifier.logic import native
from verifier.logic.native import AT, MOST, WHOLE, Result, Room, SolverError, Term, told

NUMBERS = (-2, 0, 1, 3)

Call = Callable[..., Any]


def is_(room: Room, term: Term, value: bool) -> bool:
    """Whether a Boolean has to have a value: it can, and it can have no other."""
    other = Result.UNSAT if value else Result.SAT
    opposite = Result.SAT if value else Result.UNSAT
    return room.check([term]) is opposite and room.check([room.not_(term)]) is other


def numbers(room: Room) -> list[tuple[Term, int]]:
    """Return numbers with their values: each fixed, and as an unknown that can be no other."""
    found = [(room.number(value), value) for value in NUMBERS]
    for value in NUMBERS:
        unknown = room.whole()
        room.claim(room.above(unknown, value - 1))
        room.claim(room.not_(room.above(unknown, value)))
        found.append((unknown, value))
    return found


def flags(room: Room) -> list[tuple[Term, bool]]:
    """Return Booleans with their values, likewise."""
    unknown = [(room.flag(), value) for value in (False, True)]
    for flag, value in unknown:
        room.claim(flag if value else room.not_(flag))
    return [(room.no, False), (room.yes, True), *unknown]


def test_numbers_are_compared_and_counted_as_numbers_are() -> None:
    with Room() as room:
        for (one, first), (other, second) in product(numbers(room), repeat=2):
            assert is_(room, room.equal(one, other), first == second)
            assert is_(room, room.at_most(one, other), first <= second)
            assert is_(room, room.above(one, second), first > second)
            assert room.check() is Result.SAT
            model = room.model()
            assert model.whole(room.plus(one, other)) == first + second
            assert model.whole(room.minus(one, other)) == first - second


def test_flags_are_joined_as_truths_are() -> None:
    with Room() as room:
        known = flags(room)
        for (one, first), (other, second) in product(known, repeat=2):
            assert is_(room, room.not_(one), not first)
            assert is_(room, room.implies(one, other), second or not first)
            assert is_(room, room.differ(one, other), first != second)
        for row in product(known, repeat=3):
            terms, values = [term for term, _ in row], [value for _, value in row]
            assert is_(room, room.and_(terms), all(values))
            assert is_(room, room.or_(terms), any(values))
            assert is_(room, room.if_(*terms), values[1] if values[0] else values[2])


def test_of_two_numbers_that_is_taken_which_the_condition_says() -> None:
    with Room() as room:
        for (flag, truth), (one, first) in product(flags(room), numbers(room)):
            taken = room.if_(flag, one, room.number(9))
            assert room.check() is Result.SAT
            assert room.model().whole(taken) == (first if truth else 9)


def test_unknowns_are_apart() -> None:
    """Two of the same name would be one, and some runs would be lost."""
    with Room() as room:
        one, other = room.flag(), room.flag()
        assert room.check([one, room.not_(other)]) is Result.SAT
        low, high = room.whole(), room.whole()
        assert room.check([room.above(high, 5), room.not_(room.above(low, 5))]) is Result.SAT


def test_what_is_known_costs_nothing() -> None:
    """Where the answer hangs on no unknown, it is a constant or one of the arguments."""
    with Room() as room:
        flag, one, other = room.flag(), room.whole(), room.whole()
        assert room.const(value=True) == room.yes
        assert room.const(value=False) == room.no
        assert room.number(7) == room.number(7)
        assert room.not_(room.yes) == room.no
        assert room.not_(room.no) == room.yes
        assert room.or_([flag, room.yes]) == room.yes
        assert room.or_([room.no]) == room.or_([]) == room.no
        assert room.and_([flag, flag]) == room.or_([flag, room.no]) == flag
        assert room.implies(room.no, flag) == room.implies(flag, room.yes) == room.yes
        assert room.differ(flag, room.no) == room.differ(room.no, flag) == flag
        assert room.differ(flag, room.yes) == room.not_(flag)
        assert room.if_(flag, one, one) == room.if_(room.no, other, one) == one
        assert room.equal(one, one) == room.yes
        assert room.equal(room.number(1), room.number(2)) == room.no
        assert room.at_most(room.number(2), room.number(2)) == room.yes
        assert room.above(room.number(2), 2) == room.no
        assert room.plus(one, room.number(0)) == room.minus(one, room.number(0)) == one


def test_what_is_equal_is_one_term() -> None:
    """Each negation is made once, and from both sides."""
    with Room() as room:
        flag = room.flag()
        opposite = room.not_(flag)
        assert room.not_(flag) == opposite
        assert room.not_(opposite) == flag


def test_a_claim_that_says_nothing_is_not_made() -> None:
    with Room() as room:
        room.claim(room.yes)
        assert room.check() is Result.SAT
        room.claim(room.no)
        assert room.check() is Result.UNSAT


def test_the_core_is_made_of_what_cannot_hold_together() -> None:
    with Room() as room:
        one, other, idle = room.flag(), room.flag(), room.flag()
        room.claim(room.not_(room.and_((one, other))))
        assert room.check([idle, one, other]) is Result.UNSAT
        assert set(room.core()) == {one, other}
        room.claim(room.not_(one))
        assert room.check([idle, one]) is Result.UNSAT
        assert room.core() == [one]


def test_what_does_not_matter_has_some_value_too() -> None:
    with Room() as room:
        flag, whole = room.flag(), room.whole()
        assert room.check() is Result.SAT
        model = room.model()
        assert model.flag(flag) is not model.flag(room.not_(flag))
        assert model.whole(room.plus(whole, room.number(1))) == model.whole(whole) + 1


def test_what_is_no_term_has_no_value() -> None:
    with Room() as room:
        assert room.check() is Result.SAT
        with pytest.raises(SolverError, match="no value"):
            room.model().flag(Term(0))


@pytest.mark.parametrize(
    ("term", "value"), [(lambda room: room.yes, True), (lambda room: room.no, False)]
)
def test_a_flag_is_read_off_a_model(term: Callable[[Room], Term], value: bool) -> None:
    with Room() as room:
        assert room.check() is Result.SAT
        assert room.model().flag(term(room)) is value


def test_a_way_to_solve_that_is_not_there_is_refused() -> None:
    with pytest.raises(SolverError, match="not recognized"):
        Room(logic="none such")
    for known in ("QF_LIA", ""):
        with Room(logic=known) as room:
            assert room.check([room.above(room.whole(), 3)]) is Result.SAT


# --- limits --------------------------------------------------------------------------------------


def test_the_most_is_what_the_solver_can_be_told() -> None:
    """One more comes out as 0 there, and that is no limit at all."""
    assert WHOLE(MOST).value == MOST
    assert WHOLE(MOST + 1).value == 0


def test_a_limit_binds_one_query() -> None:
    with Room() as room:
        pigeons(room, 7)
        assert room.check(steps=500) is Result.UNKNOWN
        assert room.check() is Result.UNSAT


def supposed(room: Room, monkeypatch: pytest.MonkeyPatch) -> Term:
    """Return a flag under which there are more pigeons than holes; without it all is well."""
    crowded, claim = room.flag(), room.claim
    with monkeypatch.context() as patch:
        patch.setattr(room, "claim", lambda term: claim(room.or_((room.not_(crowded), term))))
        pigeons(room, 9)
    return crowded


def test_after_the_clock_broke_a_query_off_no_claim_is_said_to_be_met(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Measured with z3 5.4.1, busy: 50 of 2,900 times eight pigeons then sat in seven holes."""
    with Room() as room:
        crowded = supposed(room, monkeypatch)
        assert room.check([room.not_(crowded)]) is Result.SAT
        assert room.check([crowded], steps=500) is Result.UNKNOWN
        assert room.check([room.not_(crowded)]) is Result.SAT
        assert room.check([crowded], steps=200_000) is Result.UNKNOWN
        assert room.check([room.not_(crowded)]) is Result.SAT
        # It was the clock, though what was done before alone is more than the steps.
        assert room.check([crowded], steps=300_000, seconds=1e-9) is Result.UNKNOWN
        assert room.check([room.not_(crowded)]) is Result.UNKNOWN
        assert room.check([crowded, room.not_(crowded)]) is Result.UNSAT


def test_after_it_was_stopped_no_claim_is_said_to_be_met(monkeypatch: pytest.MonkeyPatch) -> None:
    with Room() as room:
        crowded = supposed(room, monkeypatch)
        answered = threading.Event()

        def stops() -> None:
            while not answered.wait(0.02):
                room.stop()

        stopper = threading.Thread(target=stops)
        stopper.start()
        found = room.check([crowded])
        answered.set()
        stopper.join()
        assert found is Result.UNKNOWN
        assert room.check([room.not_(crowded)]) is Result.UNKNOWN


def test_seconds_are_told_in_thousandths() -> None:
    """No bound is the most there can be, and a time that is all but none is one thousandth."""
    told_of: list[int] = []
    with between("Z3_params_set_uint", lambda *given: told_of.append(given[-1])), Room() as room:
        for seconds in (0.0, 1e-9, 0.001, 0.25, 20.0, 1e9):
            room.check(seconds=seconds)
    assert told_of[1::3] == [MOST, 1, 1, 250, 20_000, MOST]


def test_steps_are_counted() -> None:
    with Room() as room:
        pigeons(room, 5)
        before = room.steps()
        assert room.check() is Result.UNSAT
        used = room.steps() - before
        assert used > 100
    with Room() as room:
        pigeons(room, 5)
        assert room.check(steps=used // 2) is Result.UNKNOWN
        assert room.reason()
    with Room() as room:
        pigeons(room, 5)
        assert room.check(steps=used * 2 + before) is Result.UNSAT


def test_no_limit_is_too_high() -> None:
    """Passed on as they are, these would come out as one step and one thousandth of a second."""
    with Room() as room:
        pigeons(room, 8)
        assert room.check(steps=(1 << 32) + 1) is Result.UNSAT
    with Room() as room:
        pigeons(room, 8)
        assert room.check(seconds=((1 << 32) + 1) / 1000) is Result.UNSAT


# --- faults --------------------------------------------------------------------------------------


def test_what_was_wanting_is_told() -> None:
    assert told(MemoryError()) == "no memory was left"
    assert told(SolverError("canceled")) == "the solver failed: canceled"


@contextmanager
def between(name: str, told_of: Call) -> Iterator[None]:
    """Tell of each call of one function of the library, before it is called."""
    real = native.call

    def call(asked: str, result: type | None, *types: type) -> Call:
        function = real(asked, result, *types)

        def called(*given: object) -> object:
            told_of(*given)
            return function(*given)

        return called if asked == name else function

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(native, "call", call)
        yield


@contextmanager
def giving_nothing(name: str) -> Iterator[None]:
    """Let one function of the library give nothing, as it does where no memory is left."""
    real = native.call

    def call(asked: str, result: type | None, *types: type) -> Call:
        return (lambda *_given: None) if asked == name else real(asked, result, *types)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(native, "call", call)
        yield


@pytest.mark.parametrize(
    ("name", "logic"),
    [
        ("Z3_mk_context", ""),
        ("Z3_mk_solver", ""),
        ("Z3_mk_solver_for_logic", "QF_LIA"),
        ("Z3_mk_bool_sort", ""),
        ("Z3_mk_int_sort", ""),
        ("Z3_mk_true", ""),
        ("Z3_mk_false", ""),
    ],
)
def test_a_room_that_cannot_be_made_is_none(name: str, logic: str) -> None:
    with giving_nothing(name), pytest.raises(SolverError):
        Room(logic=logic)


MAKERS: list[tuple[str, Callable[[Room], object]]] = [
    ("Z3_mk_const", lambda room: room.flag()),
    ("Z3_mk_int64", lambda room: room.number(17)),
    ("Z3_mk_not", lambda room: room.not_(room.flag())),
    ("Z3_mk_and", lambda room: room.and_((room.flag(), room.flag()))),
    ("Z3_mk_or", lambda room: room.or_((room.flag(), room.flag()))),
    ("Z3_mk_eq", lambda room: room.differ(room.flag(), room.flag())),
    ("Z3_mk_eq", lambda room: room.equal(room.whole(), room.whole())),
    ("Z3_mk_ite", lambda room: room.if_(room.flag(), room.whole(), room.whole())),
    ("Z3_mk_le", lambda room: room.at_most(room.whole(), room.whole())),
    ("Z3_mk_gt", lambda room: room.above(room.whole(), 1)),
    ("Z3_mk_add", lambda room: room.plus(room.whole(), room.whole())),
    ("Z3_mk_sub", lambda room: room.minus(room.whole(), room.whole())),
    ("Z3_mk_params", lambda room: room.check()),
    ("Z3_solver_get_statistics", lambda room: room.steps()),
    ("Z3_solver_get_unsat_core", lambda room: room.core()),
]


@pytest.mark.parametrize(("name", "make"), MAKERS)
def test_what_cannot_be_made_is_raised_at_once(name: str, make: Callable[[Room], object]) -> None:
    with Room() as room:
        room.claim(room.no)
        assert room.check() is Result.UNSAT
        make(room)
    with giving_nothing(name), Room() as room, pytest.raises(SolverError):
        make(room)


def test_a_value_that_cannot_be_found_is_none() -> None:
    with giving_nothing("Z3_model_eval"), Room() as room:
        flag = room.flag()
        assert room.check([flag]) is Result.SAT
        with pytest.raises(SolverError):
            room.model().flag(flag)


def test_what_was_refused_is_raised_however_the_next_query_ends() -> None:
    """A query that is cut off takes back what stood in its way, and nothing from before."""
    with Room() as room:
        pigeons(room, 7)
        room.claim(room.whole())
        with pytest.raises(SolverError):
            room.check(steps=500)
        with pytest.raises(SolverError):
            room.check(steps=500)


def refused(at: int, *_given: object) -> None:
    """Let the solver refuse a call."""
    native.call("Z3_mk_not", AT, AT, AT)(at, None)


@pytest.mark.parametrize("ends", [Result.SAT, Result.UNSAT])
def test_what_is_refused_during_a_query_that_has_an_answer_is_raised(ends: Result) -> None:
    """The wish for a limit, say: how the query was asked is not known then."""
    with between("Z3_solver_set_params", refused), Room() as room, pytest.raises(SolverError):
        room.check([room.const(ends is Result.SAT)])


def test_what_stood_in_the_way_of_one_query_does_not_of_the_next() -> None:
    with Room() as room:
        pigeons(room, 7)
        with between("Z3_solver_check_assumptions", refused):
            assert room.check(steps=500) is Result.UNKNOWN
        assert room.check() is Result.UNSAT


def test_a_query_can_be_stopped_from_another_thread() -> None:
    with Room() as room:
        pigeons(room, 11)
        stopper = threading.Timer(0.05, room.stop)
        stopper.start()
        assert room.check(seconds=60) is Result.UNKNOWN
        stopper.join()
        assert "cancel" in room.reason() or "interrupt" in room.reason()


def test_all_that_is_taken_of_the_solver_is_given_back() -> None:
    """Each thing counts who holds it: held too little it is gone, held too long it takes room."""
    asked, real = Counter[str](), native.call

    def call(name: str, result: type | None, *types: type) -> Call:
        asked[name.removeprefix("Z3_")] += 1
        return real(name, result, *types)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(native, "call", call)
        with Room() as room:
            flag = room.flag()
            assert room.check([flag]) is Result.SAT
            room.model()
            assert room.check([flag, room.not_(flag)]) is Result.UNSAT
            room.core()
            room.steps()
    for made, held, given_back in HELD:
        assert asked[made] == asked[held] == asked[given_back] > 0
    # A model is held as long as its room, which takes it along.
    assert asked["model_inc_ref"] == asked["solver_get_model"] == 1


HELD = (
    ("mk_config", "mk_config", "del_config"),
    ("mk_context", "mk_context", "del_context"),
    ("mk_solver_for_logic", "solver_inc_ref", "solver_dec_ref"),
    ("mk_params", "params_inc_ref", "params_dec_ref"),
    ("solver_get_statistics", "stats_inc_ref", "stats_dec_ref"),
    ("solver_get_unsat_core", "ast_vector_inc_ref", "ast_vector_dec_ref"),
)
