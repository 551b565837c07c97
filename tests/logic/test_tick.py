"""One tick in the solver is one tick in the reference simulator."""

from random import Random

from tests.engines.zones.oracle import afterwards, all_choices
from tests.properties.plants import plant
from verifier.logic.native import Result, Room
from verifier.logic.tick import any_tick, next_tick
from verifier.system.cone import whole
from verifier.system.state import State


def test_next_states_are_those_of_the_simulator() -> None:
    checked = 0
    for seed in range(60):
        system, _ = plant(seed)
        rng = Random(seed)
        every = list(all_choices(system))
        with Room() as room:
            everything = whole(system)
            tick = any_tick(room, everything)
            after = next_tick(room, everything, tick)
            for _ in range(6):
                state = State(
                    tuple(rng.random() < 0.5 for _ in system.registers),
                    tuple(rng.randint(0, clock.longest) for clock in system.clocks),
                )
                choices = rng.choice(every)
                given = [
                    term if live else room.not_(term)
                    for term, live in zip(tick.registers.values(), state.registers, strict=True)
                ]
                given += [
                    room.equal(term, room.number(value))
                    for term, value in zip(tick.clocks.values(), state.clocks, strict=True)
                ]
                given += [
                    one.taken[option]
                    for one, option in zip(tick.choices.values(), choices, strict=True)
                ]
                assert room.check(given) is Result.SAT
                model = room.model()
                reached = State(
                    tuple(model.flag(term) for term in after.registers.values()),
                    tuple(model.whole(term) for term in after.clocks.values()),
                )
                following = set(afterwards(system, state, choices))
                assert reached in following
                others = [
                    room.or_(
                        [
                            *(
                                room.differ(term, room.const(live))
                                for term, live in zip(
                                    after.registers.values(), one.registers, strict=True
                                )
                            ),
                            *(
                                room.not_(room.equal(term, room.number(value)))
                                for term, value in zip(
                                    after.clocks.values(), one.clocks, strict=True
                                )
                            ),
                        ]
                    )
                    for one in following
                ]
                assert room.check([*given, *others]) is Result.UNSAT
                checked += 1
    assert checked == 360
