"""What a run needs: which acts, how exactly they must come, and whether it is the shortest.

An act is a press, or a walker's setting out: one each time it sets out.
"""

from collections.abc import Iterator

from verifier.report.clock import Clock
from verifier.report.counts import ordinal
from verifier.report.phrases import Phrases
from verifier.simulate.presses import Press
from verifier.simulate.variations import Room, Variations
from verifier.system.model import Choice

_MOST = 2  # sentences about the moments of acts
_BOTH = 2


def needs(run: Variations, phrases: Phrases, verb: str) -> list[str]:
    """Return sentences about the acts of a run; `verb`: what the run does, `fails` say."""
    if run.many:
        return [f"Of its {len(run.plan.presses)} acts none was left out to see: they are too many."]
    return [_needed(run, phrases, verb), *_moments(run, phrases, verb)]


def _needed(run: Variations, phrases: Phrases, verb: str) -> str:
    presses = run.plan.presses
    if not presses:
        return "Of itself: nobody need do anything."
    without = [run.without(press) for press in presses]
    spare = [place for place, tick in enumerate(without) if tick is not None]
    if spare:
        name = _name(run, phrases, spare[0])
        at = phrases.clock.moment(without[spare[0]] or 0)
        return f"Without {name} it {verb} all the same, but only at {at}."
    steps = any(_is_step(run, press) for press in presses)
    what = "act" if steps else "press"
    if len(presses) == 1:
        return f"The one {what} is needed."
    if len(presses) == _BOTH:
        return f"Both {what}{'s' if steps else 'es'} are needed."
    return f"Each of the {len(presses)} {what}{'s' if steps else 'es'} is needed."


def _is_step(run: Variations, press: Press) -> bool:
    return press.choice in run.plan.steps


def _choice(run: Variations, press: Press) -> Choice:
    return run.system.choices[run.machine.cone.choices[press.choice]]


def _name(run: Variations, phrases: Phrases, place: int) -> str:
    """Return what the press at a place is called: by its number where there are several of one."""
    owner, number, several = _numbered(run, phrases, place)
    if not several:
        return owner
    return f"the {ordinal(number)} {_act(_choice(run, run.plan.presses[place]))} of {owner}"


def _numbered(run: Variations, phrases: Phrases, place: int) -> tuple[str, int, bool]:
    """Return whom a press is of, the how many-th of its presses it is, and if there are several."""
    owners = [phrases.owner(_choice(run, press).name) for press in run.plan.presses]
    owner = owners[place]
    return owner, owners[: place + 1].count(owner), owners.count(owner) > 1


def _act(choice: Choice) -> str:
    if not choice.is_press:
        return "step"
    return "press" if len(choice.options) == _BOTH else "choice"


def _moments(run: Variations, phrases: Phrases, verb: str) -> Iterator[str]:
    """Yield when acts have to come, the most exact ones first."""
    presses = run.plan.presses
    rooms = [(run.room(place), place) for place in range(len(presses))]
    told = [(room, place) for room, place in rooms if _says_something(room, first=not place)]
    told.sort(key=lambda one: (one[0].width, -one[1]))
    for room, place in told[:_MOST]:
        yield f"{verb.capitalize()} {_moment(run, phrases, room, place)}"


def _says_something(room: Room, *, first: bool) -> bool:
    """Whether an act has to come in some window; when it all begins mostly does not matter."""
    return not room.open_later if first else not (room.open_sooner and room.open_later)


def _moment(run: Variations, phrases: Phrases, room: Room, place: int) -> str:
    presses, clock = run.plan.presses, phrases.clock
    press, name = presses[place], _name(run, phrases, place)
    if not place:
        first, last = press.start - room.sooner, press.start + room.later
        if first == last:
            return f"only if {name} comes at {clock.moment(first)}, to the tick."
        if room.open_sooner:
            return f"whenever {name} comes at most {clock.moment(last)} after the start."
        return (
            f"whenever {name} comes {clock.moment(first)} to {clock.moment(last)} after the start."
        )
    (owner, _, _), (other, number, _) = (_numbered(run, phrases, at) for at in (place, place - 1))
    other = f"the {ordinal(number)}" if other == owner else _name(run, phrases, place - 1)
    gap = press.start - presses[place - 1].start
    if not room.width:
        when = f"{clock.span(gap)} after {other}" if gap else f"together with {other}"
        return f"only if {name} comes {when}, to the tick."
    return f"whenever {name} comes {window(room, gap, clock, other)}{_rest(run, room, place)}."


def _rest(run: Variations, room: Room, place: int) -> str:
    if place == len(run.plan.presses) - 1:
        return ""
    return ", all else as it is" if room.alone else ", what follows as much later or sooner"


def window(room: Room, gap: int, clock: Clock, other: str) -> str:
    """Return when a press may come; an end that was not met is none, however far was tried."""
    low, high = gap - room.sooner, gap + room.later
    if room.open_later:
        if low < 0:
            return f"at most {clock.span(-low)} before {other}, or later"
        return f"{clock.span(low)} or more after {other}"
    if room.open_sooner:
        if high < 0:
            return f"{clock.span(-high)} or more before {other}"
        return f"at most {clock.span(high)} after {other}, or sooner"
    if low < 0:
        return f"from {clock.span(-low)} before to {clock.span(high)} after {other}"
    return f"{clock.span(low)} to {clock.span(high)} after {other}"
