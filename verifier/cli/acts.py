"""Presses as people write them become choices of the system, tick by tick."""

from collections.abc import Sequence
from dataclasses import dataclass

import click

from verifier.cli.times import Press
from verifier.cli.trouble import no_such
from verifier.design.model import Choice, Walker
from verifier.simulate.told import Act, Goes, Held
from verifier.system.model import System

_FOREVER = 1 << 62


@dataclass(frozen=True, slots=True)
class _Hands:
    """The names that presses may use: choices by index, under the name of their part too."""

    choices: dict[str, int]
    walkers: dict[str, Walker]

    @classmethod
    def of(cls, system: System) -> "_Hands":
        index = {choice.name: number for number, choice in enumerate(system.choices)}
        choices: dict[str, int] = {}
        by_part: dict[str, list[int]] = {}
        for free in system.design.free:
            if free.is_press:
                choices[free.net.path] = index[free.net.path]
                by_part.setdefault(free.net.part, []).append(index[free.net.path])
        single = {part: found[0] for part, found in by_part.items() if part and len(found) == 1}
        walkers = {walker.name: walker for walker in system.design.walkers}
        return cls(choices | single, walkers)


def acts_of(ctx: click.Context, system: System, presses: Sequence[Press]) -> tuple[list[Act], int]:
    """Return what to do, and the tick after the last thing done.

    Raises:
        click.UsageError: A name, an option or a time is none that the design has.
    """
    hands = _Hands.of(system)
    found = [_act(ctx, system, hands, press) for press in presses]
    held = sorted(
        (act for act in found if isinstance(act, Held)), key=lambda act: (act.choice, act.start)
    )
    cut = [
        _cut(ctx, system, one, after) for one, after in zip(held, [*held[1:], None], strict=False)
    ]
    acts: list[Act] = [*cut, *(act for act in found if isinstance(act, Goes))]
    ends = [_end(act) for act in acts]
    return acts, max(ends, default=0)


def _end(act: Act) -> int:
    match act:
        case Held(_, _, start, stop):
            return start + 1 if stop == _FOREVER else stop
        case Goes(_, _, start):
            return start + 1


def _cut(ctx: click.Context, system: System, one: Held, after: Held | None) -> Held:
    """Let a choice that stays stand until it is set again; other presses may not meet."""
    if after is None or after.choice != one.choice or after.start >= one.stop:
        return one
    if one.stop != _FOREVER or after.start == one.start:
        name = system.choices[one.choice].name
        raise click.UsageError(f"two presses of {name} meet", ctx)
    return Held(one.choice, one.option, one.start, after.start)


def _act(ctx: click.Context, system: System, hands: _Hands, press: Press) -> Act:
    tick_ns = system.design.tick_ns
    start = press.at.ticks(tick_ns)
    if press.name in hands.walkers:
        return _goes(ctx, system, hands.walkers[press.name], press, start)
    if press.name not in hands.choices:
        raise no_such("thing to press", press.name, {**hands.choices, **hands.walkers}, ctx)
    choice = hands.choices[press.name]
    options = system.choices[choice].options
    option = _option(ctx, press, options)
    if press.held is not None:
        stop = start + press.held.ticks(tick_ns)
    else:
        stop = start + 1 if press.option is None else _FOREVER
    if stop <= start:
        raise click.UsageError(f"'{press.text}' lasts no time", ctx)
    return Held(choice, option, start, stop)


def _option(ctx: click.Context, press: Press, options: Sequence[str]) -> int:
    if press.option is not None:
        if press.option not in options:
            raise no_such(f"option of {press.name}", press.option, options, ctx)
        return options.index(press.option)
    if options == ("dead", "live"):
        return 1
    example = f"'{press.name} to {options[-1]} at {press.at.number} {press.at.unit}'"
    raise click.UsageError(f"say to which option {press.name} is set, such as {example}", ctx)


def _goes(ctx: click.Context, system: System, walker: Walker, press: Press, start: int) -> Goes:
    shape = walker.place.shape
    rooms = shape.options[: len(system.design.rooms)] if isinstance(shape, Choice) else ()
    if press.option is None:
        raise click.UsageError(f"say where {press.name} goes: '{press.name} to ROOM at TIME'", ctx)
    if press.option not in rooms:
        raise no_such("room", press.option, rooms, ctx)
    if press.held is not None:
        raise click.UsageError(f"{press.name} walks as long as the passage takes; no 'for'", ctx)
    return Goes(walker, rooms.index(press.option), start)
