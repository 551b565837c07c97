"""Where a system stands at a tick, and how it goes on from there."""

from dataclasses import dataclass

from verifier.system.model import Cone, System


@dataclass(frozen=True, slots=True)
class State:
    """Registers and clocks (in ticks) of the whole system at one tick, by index."""

    registers: tuple[bool, ...]
    clocks: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """`ticks` (1 or more) ticks with the same choices and the same draws.

    `choices[i]` is the position chosen of choice i. `draws[i]` is what clock i shows next if a load
    of it with a range is taken in this step, 0 where none is (any value is then ignored).
    """

    choices: tuple[int, ...]
    draws: tuple[int, ...]
    ticks: int


def start_of(system: System) -> State:
    """Return the state at tick 0 of a run that starts as the design says."""
    return State(
        registers=tuple(register.start for register in system.registers),
        clocks=tuple(clock.start for clock in system.clocks),
    )


def only(cone: Cone, state: State) -> State:
    """Return a state with False and 0 outside of a cone."""
    registers, clocks = [False] * len(state.registers), [0] * len(state.clocks)
    for index in cone.registers:
        registers[index] = state.registers[index]
    for index in cone.clocks:
        clocks[index] = state.clocks[index]
    return State(tuple(registers), tuple(clocks))
