"""A jump of d ticks is d ticks of the reference simulator, and it does not stop for nothing."""

from random import Random

from tests.bank.plants import HOUR, lamp_cycle
from tests.properties.plants import plant
from verifier.simulate.machine import NO_DRAW, closed, machine
from verifier.system.cone import cone, whole
from verifier.system.program import program
from verifier.system.state import State


def test_jumps_are_ticks() -> None:
    jumped = 0
    for seed in range(150):
        system, target = plant(seed)
        rng = Random(seed)
        follower = machine(whole(system), (target,))
        ticks = program(whole(system, (target,)))
        at = follower.start()
        for _ in range(40):
            choices = tuple(rng.randrange(count) for count in follower.options)
            look = follower.look(*at, choices)
            draws = follower.fitted(look, [rng.randint(0, 9) for _ in follower.clocks])
            most = follower.longest_jump(at, look, draws)
            length = rng.randint(1, 12 if most is None else most)
            after = follower.after(at, look, draws, length)
            state, drawn = State(*at), tuple(0 if one == NO_DRAW else one for one in draws)
            for _ in range(length):
                state, (value,) = ticks.step(state, choices, drawn)
                assert value == look.seen[0], seed
            assert (state.registers, state.clocks) == after, seed
            jumped += length > 1
            at = after
    assert jumped > 500


def test_an_hour_is_a_handful_of_jumps() -> None:
    lamp = lamp_cycle(HOUR)
    follower = machine(cone(lamp.system, [lamp.target]), (lamp.target,))
    at, ticks, jumps = follower.start(), 0, 0
    while True:
        look = follower.look(*at, ())
        if look.seen[0]:
            break
        length = follower.longest_jump(at, look, (0,) * len(follower.clocks))
        assert length is not None
        at = follower.after(at, look, (0,) * len(follower.clocks), length)
        ticks, jumps = ticks + length, jumps + 1
    assert ticks == lamp.first
    assert jumps < 30


def test_a_cone_without_choices_is_closed() -> None:
    lamp = lamp_cycle(5)
    assert closed(cone(lamp.system, [lamp.target]))
