"""Rulings put together say no more than each of them."""

from itertools import product

from verifier.verdict.ruling import (
    BOTH,
    SIMULATOR,
    SOLVER,
    SOUND,
    Finding,
    sound,
    together,
    unsure,
    wrong,
)


def test_only_what_is_sound_is_sound() -> None:
    assert SOUND.sound
    assert sound(SOLVER).sound
    assert not wrong("a reason").sound
    assert not unsure("a reason").sound
    assert wrong("a reason").finding is Finding.WRONG
    assert unsure("a reason").finding is Finding.UNSURE
    assert wrong("a reason").words == unsure("a reason").words == "a reason"


def test_rulings_together_are_sound_where_each_is() -> None:
    rulings = (SOUND, sound(SOLVER), sound(BOTH), wrong("no"), unsure("time"))
    for row in product(rulings, repeat=2):
        assert together(*row).sound == all(one.sound for one in row)
        first = next((one for one in row if not one.sound), None)
        assert first is None or together(*row) == first


def test_the_second_solver_is_named_where_it_agreed_with_all_that_the_first_said() -> None:
    assert together(sound(SOLVER), sound(BOTH)).by == SOLVER
    assert together(sound(BOTH), sound(SOLVER)).by == SOLVER
    assert together(sound(BOTH), sound(BOTH)).by == BOTH
    assert together(sound(BOTH), SOUND).by == (*BOTH, *SIMULATOR)
    assert together(SOUND, SOUND).by == SIMULATOR
    assert together(SOUND, sound(SOLVER)).by == (*SOLVER, *SIMULATOR)
