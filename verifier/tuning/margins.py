"""How far each setting may drift, and all spans at once, before a claim no longer holds.

One dial is turned at a time, and one claim looked at: `margins_line` tells how. The room of a dial
is what all claims leave of it. For all spans at once the tolerance of the design is raised. A
larger one allows all runs of a smaller one, so halving finds the largest with which nothing bad
happens.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from verifier.system.model import Form
from verifier.tuning.dials import Setting, stand
from verifier.tuning.dials_frame import Frames
from verifier.tuning.dials_rig import Rig, question
from verifier.tuning.margins_line import Edge, Line
from verifier.verdict.answer import Outcome, Reach, Verdict

MOST_PERCENT = 50
"""Tolerances are looked at up to so many percent."""

UNIVERSAL = {Form.AVOID, Form.AGAIN}
"""Forms that hold of fewer runs where they hold of more."""


@dataclass(frozen=True, slots=True)
class Side:
    """How far a dial may go one way: up to `last`; no `edge` where that is the end of its range."""

    last: int
    edge: Edge | None


@dataclass(frozen=True, slots=True)
class Room:
    """How far the dial at `place` may go, all others as they stand.

    `until`: claims that are known up to some time only, somewhere in between. `alike`: those that
    were not asked at every value, since a way of one shape leads there at all of them; it was
    replayed at some.
    """

    place: int
    low: Side
    high: Side
    until: tuple[str, ...]
    alike: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Slack:
    """By how many percent all spans may be off at once: `most`, from `now` as the design says.

    No `edge`: it was not looked further. `widens`: whether the design has a span that widens.
    `exact`: the timers with a span that does not.
    """

    now: int
    most: int
    edge: Edge | None
    until: tuple[str, ...]
    widens: bool
    exact: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Margins:
    """What came of it: claims as they stand, room of each dial, slack of all spans.

    Room and slack are about the claims that hold as the design stands.
    """

    at: Setting
    answers: tuple[tuple[str, Outcome], ...]
    rooms: tuple[Room, ...]
    slack: Slack | None

    @property
    def claims(self) -> tuple[str, ...]:
        """The claims that room and slack are about."""
        return tuple(name for name, one in self.answers if one.verdict is Verdict.HOLDS)


def margins(
    rig: Rig,
    claims: Sequence[str],
    most_calls: int,
    progress: Callable[[int], None] = lambda _calls: None,
) -> Margins:
    """Return how far the dials of a rig, and all its spans at once, may drift."""
    at = stand(rig.dials)
    answers = tuple((name, rig.decide(at, name)) for name in claims)
    kept = [name for name, one in answers if one.verdict is Verdict.HOLDS]
    search = _Search(rig, at, most_calls, progress)
    rooms = tuple(search.room(place, kept) for place in range(len(rig.dials))) if kept else ()
    return Margins(at, answers, rooms, search.slack(kept) if kept else None)


@dataclass(slots=True, eq=False)
class _Search:
    """Looks outward from where the dials stand."""

    rig: Rig
    at: Setting
    most_calls: int
    progress: Callable[[int], None]
    _frames: Frames = field(init=False)

    def __post_init__(self) -> None:
        """Begin with nothing known."""
        self._frames = Frames(self.rig)

    def room(self, place: int, claims: Sequence[str]) -> Room:
        """Return how far a dial may go both ways."""
        dial = self.rig.dials[place]
        until: dict[str, None] = {}
        for name in claims:
            if self.rig.decide(self.at, name).reach is Reach.UP_TO:
                until[name] = None
        alike: dict[str, None] = {}
        low, high = (
            self._side(place, claims, end, (until, alike)) for end in (dial.low, dial.high)
        )
        return Room(place, low, high, tuple(until), tuple(alike))

    def _side(
        self,
        place: int,
        claims: Sequence[str],
        end: int,
        notes: tuple[dict[str, None], dict[str, None]],
    ) -> Side:
        """Return how far a dial may go toward an end of its range."""
        here, edge = self.at[place], None
        step = 1 if end > here else -1
        for name in self._quick_first(claims):
            if end == here:
                break
            line = Line(self.rig, self._frames, self.at, place, name)
            found = line.first(end, self.rig.calls + self.most_calls)
            for note, said in zip(notes, (line.until, line.alike), strict=True):
                note.update(dict.fromkeys([name] if said else []))
            if found is not None:
                edge, end = found, found.at - step
            self.progress(self.rig.calls)
        return Side(end, edge)

    def _quick_first(self, claims: Iterable[str]) -> list[str]:
        order = list(Form)
        return sorted(claims, key=lambda name: order.index(self._form(name)))

    # --- all spans at once -----------------------------------------------------------------------

    def slack(self, claims: Sequence[str]) -> Slack:
        """Return the largest tolerance with which the claims hold; it is told in whole percent."""
        now = self._frames.percent
        widest = self.rig.system(self.at, MOST_PERCENT)
        plain = self.rig.system(self.at, 0)
        if widest is not None and plain is not None and widest.clocks == plain.clocks:
            return Slack(now, now, None, (), widens=False)
        timers = () if plain is None else plain.design.timers
        exact = tuple(one.path for one in timers if one.exact)
        most, edge = max(now, MOST_PERCENT), None
        until: dict[str, None] = {}
        ordered = self._quick_first(claims)
        for name in ordered:
            found = self._percent(name, now, most)
            if found is not None:
                most, edge = found.at - 1, found
            self.progress(self.rig.calls)
        # What was halved for the others may have holes, so the tolerance told is looked at itself.
        others = [name for name in ordered if self._form(name) not in UNIVERSAL]
        while most > now:
            wrong = next((one for one in others if not self._holds_with(one, most)), None)
            if wrong is None:
                break
            edge = Edge(most, wrong, self.rig.decide(self.at, wrong, most))
            most -= 1
        for name in ordered:
            if most > now and self.rig.decide(self.at, name, most).reach is Reach.UP_TO:
                until[name] = None
        return Slack(now, most, edge, tuple(until), widens=True, exact=exact)

    def _form(self, name: str) -> Form:
        return question(self.rig.made(self.at), name).form

    def _percent(self, name: str, now: int, most: int) -> Edge | None:
        """Return the least tolerance above `now` with which a claim is not known to hold."""
        if most == now or self._holds_with(name, most):
            return None
        low, high = now, most
        while high - low > 1:
            half = (low + high) // 2
            if self._holds_with(name, half):
                low = half
            else:
                high = half
        return Edge(high, name, self.rig.decide(self.at, name, high))

    def _holds_with(self, name: str, percent: int) -> bool:
        return self.rig.decide(self.at, name, percent).verdict is Verdict.HOLDS
