"""Terms fold constants and mean what they say; limits and faults end in an answer."""

import signal
import threading
import time

import pytest

from verifier.logic.native import Result, Room, SolverError, Term


def test_constants_are_folded() -> None:
    with Room() as room:
        flag = room.flag()
        assert room.and_([flag, room.no]) == room.no
        assert room.and_([flag, room.yes]) == flag
        assert room.and_([]) == room.yes
        assert room.or_([flag, flag]) == flag
        assert room.not_(room.not_(flag)) == flag
        assert room.if_(room.yes, flag, room.no) == flag
        assert room.above(room.number(3), 2) == room.yes
        assert room.at_most(room.number(3), room.number(2)) == room.no
        assert room.plus(room.number(3), room.number(4)) == room.number(7)
        assert room.minus(room.number(3), room.number(4)) == room.number(-1)
        assert room.differ(flag, flag) == room.no
        assert room.differ(room.yes, flag) == room.not_(flag)


def test_a_model_has_the_values() -> None:
    with Room() as room:
        one, two, flag = room.whole(), room.whole(), room.flag()
        room.claim(room.equal(room.plus(one, two), room.number(1 << 40)))
        room.claim(room.if_(flag, room.above(one, 1 << 39), room.no))
        room.claim(room.not_(room.above(one, (1 << 39) + 1)))
        assert room.check() is Result.SAT
        model = room.model()
        assert model.flag(flag)
        assert (model.whole(one), model.whole(two)) == ((1 << 39) + 1, (1 << 39) - 1)
        assert room.check([room.above(two, 1 << 39)]) is Result.UNSAT
        assert room.check() is Result.SAT


def pigeons(room: Room, holes: int) -> None:
    """Claim that more pigeons than holes each have a hole of their own: hard to refute."""
    sits = [[room.flag() for _ in range(holes)] for _ in range(holes + 1)]
    for pigeon in sits:
        room.claim(room.or_(pigeon))
    for hole in range(holes):
        column: list[Term] = [pigeon[hole] for pigeon in sits]
        for place, one in enumerate(column):
            for other in column[place + 1 :]:
                room.claim(room.not_(room.and_((one, other))))


def test_steps_bound_the_work() -> None:
    with Room() as room:
        pigeons(room, 10)
        assert room.check(steps=20_000) is Result.UNKNOWN
        assert room.reason()
        assert room.steps() < 200_000


def test_seconds_bound_the_work() -> None:
    with Room() as room:
        pigeons(room, 11)
        assert room.check(seconds=0.05) is Result.UNKNOWN


def test_a_model_that_is_not_there_is_a_fault() -> None:
    with Room() as room:
        room.claim(room.no)
        assert room.check() is Result.UNSAT
        with pytest.raises(SolverError):
            room.model()


def test_what_the_solver_refuses_is_raised_and_not_built_upon() -> None:
    with Room() as room:
        flag, whole = room.flag(), room.whole()
        with pytest.raises(SolverError):
            room.not_(room.and_((flag, whole)))
        with pytest.raises(SolverError):
            room.check()


def test_a_claim_that_was_refused_is_not_forgotten() -> None:
    with Room() as room:
        room.claim(room.whole())
        room.claim(room.flag())
        with pytest.raises(SolverError):
            room.check()


def test_a_room_is_none_of_what_another_was_refused() -> None:
    for _ in range(5):
        with Room() as room, pytest.raises(SolverError):
            room.not_(room.whole())
        with Room() as room:
            assert room.check([room.flag()]) is Result.SAT


@pytest.mark.parametrize("holes", [3, 11])
def test_no_interrupt_is_lost_however_long_queries_are(holes: int) -> None:
    def ask(delay: float) -> None:
        sender = threading.Timer(delay, signal.raise_signal, [signal.SIGINT])
        until = time.monotonic() + 20
        sender.start()
        try:
            while time.monotonic() < until:
                with Room() as room:
                    pigeons(room, holes)
                    room.check(seconds=30)
        finally:
            sender.join()

    for number in range(20 if holes < 11 else 1):
        with pytest.raises(KeyboardInterrupt):
            ask(0.02 + 0.001 * number)
