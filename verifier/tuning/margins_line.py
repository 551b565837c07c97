"""The first value, from where a dial stands outward, at which a claim does not hold.

Whole stretches of values are proved at once where that works (see `dials_box`), else halves of
them, else single values: nothing between two values that hold is taken for granted. Holes are real
(two fountains never strike together, or do, by the common divisors of their periods). Where a run
of the widened system breaks a claim, its shape tells at which values a real run does; the nearest
of them is where the stretch ends, and the run is replayed there.
"""

from dataclasses import dataclass, field

from verifier.simulate.variations import shortened
from verifier.system.expr import Node
from verifier.system.model import Form, Question, System
from verifier.tuning.dials import Setting
from verifier.tuning.dials_box import served, widened
from verifier.tuning.dials_frame import Frames
from verifier.tuning.dials_rig import Rig, moved, question
from verifier.tuning.regions import Region, derived, region
from verifier.verdict.answer import Outcome, Reach, Verdict
from verifier.verdict.trace import Trace

SPENT = "the calls allowed were used up"

LOOKS = 3
"""At so many values of a stretch, its far end among them, a run of the same shape is replayed."""


@dataclass(frozen=True, slots=True)
class Edge:
    """The first value at which a claim is not known to hold; `outcome` says what it does there."""

    at: int
    claim: str
    outcome: Outcome


class _SpentError(Exception):
    """The calls allowed are used up."""


@dataclass(slots=True, eq=False)
class Line:
    """One dial turned away from where it stands, all others fast, and one claim.

    `until` is set where the claim was found to hold up to some time only, `alike` where values were
    passed over since a run of one shape serves at all of them.
    """

    rig: Rig
    frames: Frames
    at: Setting
    place: int
    claim: str
    until: bool = False
    alike: bool = False
    _step: int = field(init=False)
    _known: int = field(init=False)
    _most: int = field(init=False)

    def first(self, end: int, most_calls: int) -> Edge | None:
        """Return where the claim first does not hold on the way to `end`; None: nowhere."""
        here = self.at[self.place]
        self._step = 1 if end > here else -1
        self._known, self._most = here + self._step, most_calls
        walk = self._witnessed if self._asked.form is Form.REACH else self._stretch
        try:
            return walk(self._known, end)
        except _SpentError:
            return Edge(self._known, self.claim, Outcome(Verdict.UNKNOWN, reason=SPENT))

    @property
    def _asked(self) -> Question:
        return question(self.rig.made(self.at), self.claim)

    def _setting(self, value: int) -> Setting:
        return moved(self.at, self.place, value)

    def _pay(self) -> None:
        if self.rig.calls >= self._most:
            raise _SpentError

    # --- what holds of all runs, and of all places -----------------------------------------------

    def _stretch(self, near: int, far: int) -> Edge | None:
        """Look at all values from one to another, the near ones first."""
        edge = self._single(near) if near == far else self._several(near, far)
        if edge is None:
            self._known = far + self._step
        return edge

    def _several(self, near: int, far: int) -> Edge | None:
        low, high = sorted((near, far))
        system = widened(self.rig, self._setting(low), self._setting(high), self.claim)
        if system is not None:
            holds, edge = self._at_once(system, near, far)
            if holds:
                return None
            if edge is not None:
                before = edge.at - self._step
                return edge if edge.at == near else self._stretch(near, before) or edge
        if system is not None and self._asked.form is Form.OPEN:
            # One plan does not serve all of them; smaller stretches are hardly ever better off.
            values = range(near, far + self._step, self._step)
            return next(filter(None, map(self._stretch, values, values)), None)
        half = (near + far) // 2 if self._step > 0 else -(-(near + far) // 2)
        return self._stretch(near, half) or self._stretch(half + self._step, far)

    def _at_once(self, system: System, near: int, far: int) -> tuple[bool, Edge | None]:
        """Return whether the claim holds at all values; or where a real run breaks it."""
        self._pay()
        asked = question(system, self.claim)
        if asked.form is Form.OPEN:
            self.rig.calls += 1
            return served(system, asked, self.rig.effort), None
        outcome = self.rig.asked(system, asked)
        if outcome.verdict is Verdict.HOLDS:
            self.until = self.until or outcome.reach is Reach.UP_TO
            return True, None
        if outcome.verdict is not Verdict.FAILS or outcome.trace is None:
            return False, None
        found = derived(self.frames.around(self._setting(near)), system, asked.bad, outcome.trace)
        return False, None if found is None else self._broken(found, near, far)

    def _broken(self, found: Region, near: int, far: int) -> Edge | None:
        """Return the nearest value at which a real run of this shape breaks the claim."""
        value = self._nearest(found, near, far)
        if value is None:
            return None
        trace = self._run(found, value)
        if trace is None:
            return None
        return Edge(value, self.claim, Outcome(Verdict.FAILS, Reach.FOREVER, trace=trace))

    def _run(self, found: Region, value: int) -> Trace | None:
        system = self.rig.system(self._setting(value))
        if system is None:
            return None
        return found.run(system, _target(question(system, self.claim)), self._setting(value))

    def _nearest(self, found: Region, near: int, far: int) -> int | None:
        values = range(near, far + self._step, self._step)
        return next((one for one in values if found.holds(self._setting(one))), None)

    def _single(self, value: int) -> Edge | None:
        """Look at one value."""
        self._pay()
        at = self._setting(value)
        outcome = self.rig.decide(at, self.claim)
        if outcome.verdict is Verdict.HOLDS:
            self.until = self.until or outcome.reach is Reach.UP_TO
            return None
        system = self.rig.system(at)
        if system is not None and outcome.verdict is Verdict.FAILS:
            outcome = shortened(system, question(system, self.claim), outcome)
        return Edge(value, self.claim, outcome)

    # --- what some run shows ----------------------------------------------------------------------

    def _witnessed(self, near: int, far: int) -> Edge | None:
        """Go from value to value, past all at which a run of the same shape gets there too."""
        while (far - near) * self._step >= 0:
            edge = self._single(near)
            if edge is not None:
                return edge
            near = self._known = self._past(near, far) + self._step
        return None

    def _past(self, near: int, far: int) -> int:
        """Return the last value up to which the way found at one is known to be one."""
        at = self._setting(near)
        system, outcome = self.rig.made(at), self.rig.decide(at, self.claim)
        if outcome.trace is None or self._asked.anywhere or self._asked.whatever:
            return near
        target = question(system, self.claim).goal
        found = region(self.frames.around(at), system, target, outcome.trace, at)
        last = near
        while last != far and found.holds(self._setting(last + self._step)):
            last += self._step
        looks = {near + (last - near) * part // LOOKS for part in range(1, LOOKS + 1)} - {near}
        if last == near or not all(self._run(found, one) is not None for one in looks):
            return near
        self.alike = True
        return last


def _target(asked: Question) -> Node:
    return asked.goal if asked.form is Form.REACH else asked.bad
