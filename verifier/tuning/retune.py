"""Finds settings with which every claim holds, guided by the runs that break them.

A solver proposes a setting that nothing rules out yet; the engines decide the claims there; a run
that breaks one rules out every setting at which a run of its shape breaks it too. Nothing rests on
the regions but which settings are looked at, and the answer "none".

Source of the scheme: E. Clarke, O. Grumberg, S. Jha, Y. Lu, H. Veith, "Counterexample-guided
abstraction refinement", CAV 2000, turned from states to settings.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from enum import Enum
from types import TracebackType
from typing import Self, assert_never

from verifier.logic.openings import Openings, Ruled, Widened, none_open
from verifier.simulate.variations import shortened
from verifier.system.model import Form
from verifier.tuning.dials import Setting, stand
from verifier.tuning.dials_box import widened
from verifier.tuning.dials_frame import Frames
from verifier.tuning.dials_rig import Rig, question
from verifier.tuning.regions import Region, point, region, samples
from verifier.verdict.answer import Outcome, Reach, Verdict

FULL_TURN = 1000
"""What turning a dial over its whole range weighs, where the nearest setting is wanted."""

MOST_UNSURE = 24
"""After so many settings at which a claim could not be settled, a search ends."""

SHRINKS = 4
"""A box in which something can never happen is looked for in so many sizes."""


class Aim(Enum):
    """What makes one setting better than another."""

    NEAR = "near"
    LEAST = "least"
    MOST = "most"


@dataclass(frozen=True, slots=True)
class Goal:
    """An aim; `dial` is the place of the dial that LEAST and MOST are about."""

    aim: Aim = Aim.NEAR
    dial: int = 0


@dataclass(frozen=True, slots=True)
class Answered:
    """A claim, by name, with the answer to it."""

    claim: str
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Unsure:
    """A setting at which a claim was not settled, though none was found to fail."""

    at: Setting
    claim: str
    reason: str


@dataclass(frozen=True, slots=True)
class Found:
    """What came of a search.

    `at` is a setting with which each of `answers` holds, None where none was found. `best`: no
    setting that may serve is better. `closed`: no setting is left to look at. `spent`: it ended
    before that, since the calls allowed were used up, too much stayed unsure, or the solver could
    not say what to try next; `lacks` says why it could not.
    """

    at: Setting | None
    answers: tuple[Answered, ...]
    best: bool
    closed: bool
    spent: bool
    unsure: tuple[Unsure, ...]
    lacks: str = ""


@dataclass(slots=True, eq=False)
class Search:
    """All that was learned of a rig: regions that fail, by claim, and settings left unsure."""

    rig: Rig
    most_calls: int
    progress: Callable[[int], None] = lambda _calls: None
    ruled: list[Ruled] = field(default_factory=list)
    regions: dict[str, list[Region]] = field(default_factory=dict)
    unsure: list[Unsure] = field(default_factory=list)
    dropped: int = 0
    _frames: Frames = field(init=False)
    _open: Openings = field(init=False)
    _fails: Counter[str] = field(default_factory=Counter)

    def __post_init__(self) -> None:
        """Begin with nothing ruled out."""
        self._frames = Frames(self.rig)
        self._open = Openings(self.low, self.high)

    def __enter__(self) -> Self:
        """Use it in a `with` statement, which frees the solver."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Free the solver."""
        self._open.__exit__(kind, error, trace)

    @property
    def low(self) -> Setting:
        """The lowest place of each dial."""
        return tuple(dial.low for dial in self.rig.dials)

    @property
    def high(self) -> Setting:
        """The highest place of each dial."""
        return tuple(dial.high for dial in self.rig.dials)

    # --- the search ------------------------------------------------------------------------------

    def find(self, claims: Sequence[str], goal: Goal) -> Found:
        """Return the best setting with which the claims hold, as far as the calls allowed go."""
        proposals = _Proposals(self._open, self.rig, tuple(claims), goal)
        calls = self.rig.calls
        before = len(self.unsure)
        best: tuple[Setting, tuple[Answered, ...]] | None = None
        spent, lacks = False, ""
        try:
            while (at := proposals.next()) is not None:
                spent = self.rig.calls - calls >= self.most_calls
                if spent or len(self.unsure) - before >= MOST_UNSURE:
                    spent = True
                    break
                answers = self._look(at, claims)
                self.progress(self.rig.calls)
                if answers is not None:
                    best = at, answers
                    proposals.serves(at)
        except TimeoutError as slow:
            spent, lacks = True, str(slow)
        unsure = tuple(one for one in self.unsure[before:] if one.claim in claims)
        at, answers = (None, ()) if best is None else best
        done = not spent
        sure = done and best is not None
        return Found(at, answers, best=sure, closed=done, spent=spent, unsure=unsure, lacks=lacks)

    def none_by(self, claims: Sequence[str]) -> tuple[str, ...]:
        """Return the solvers that find anew that no setting is left for these claims."""
        return none_open(self.low, self.high, self.ruled, claims)

    def _look(self, at: Setting, claims: Sequence[str]) -> tuple[Answered, ...] | None:
        """Return the answers where all claims hold; else rule out what is known to fail."""
        system = self.rig.system(at)
        if system is None:
            self._rule_out("", point(at))
            return None
        known = {one.name: one for one in system.questions}
        order = sorted(claims, key=lambda one: (-self._fails[one], _LIGHT.index(known[one].form)))
        found: dict[str, Outcome] = {}
        for claim in order:
            outcome = found[claim] = self.rig.decide(at, claim)
            if outcome.verdict is Verdict.FAILS:
                self._fails[claim] += 1
                self._rule_out(claim, self._wide(claim, at, outcome))
                return None
        for claim, outcome in found.items():
            if outcome.verdict is Verdict.UNKNOWN:
                self.unsure.append(Unsure(at, claim, outcome.reason))
                self._rule_out(claim, point(at), unsure=True)
                return None
        return tuple(Answered(claim, found[claim]) for claim in claims)

    def _rule_out(self, claim: str, one: Region, *, unsure: bool = False) -> None:
        ruled = ruled_out(claim, one)
        self._open.rule_out(ruled)
        if not unsure:
            self.ruled.append(ruled)
            self.regions.setdefault(claim, []).append(one)

    # --- from one setting to many ----------------------------------------------------------------

    def _wide(self, claim: str, at: Setting, outcome: Outcome) -> Region:
        """Return all settings known to fail as this one does."""
        system = self.rig.made(at)
        asked = question(system, claim)
        if asked.form is Form.REACH:
            # More room for spans may foil a way that has to serve whatever they are.
            return point(at) if asked.whatever else self._never(claim, at)
        if outcome.trace is None or asked.form is Form.OPEN or asked.anywhere:
            return point(at)
        trace = shortened(system, asked, outcome).trace or outcome.trace
        found = region(self._frames.around(at), system, asked.bad, trace, at)
        if found.recipe is None or self._replayed(claim, found):
            return found
        self.dropped += 1
        return point(at)

    def _replayed(self, claim: str, one: Region) -> bool:
        """Whether the region keeps its word at some settings: a run of its shape is replayed."""
        for at in samples(one):
            system = self.rig.system(at)
            if system is None or one.run(system, question(system, claim).bad, at) is None:
                return False
        return True

    def _never(self, claim: str, at: Setting) -> Region:
        """Return a box in which the engines show that what is wanted cannot be reached."""
        frame = self._frames.around(at)
        if frame is None:
            return point(at)
        for times in range(SHRINKS):
            low, high = _towards(at, frame.low, times), _towards(at, frame.high, times)
            system = widened(self.rig, low, high, claim)
            if system is None:
                continue
            outcome = self.rig.asked(system, question(system, claim))
            if outcome.verdict is Verdict.FAILS and outcome.reach is Reach.FOREVER:
                return Region(low, high, (), {}, at)
        return point(at)


def _towards(at: Setting, end: Setting, halves: int) -> Setting:
    """Return a corner, drawn nearer to a setting by so many halves."""
    gone = 1 << halves
    return tuple(
        here + (abs(there - here) // gone) * (1 if there > here else -1)
        for here, there in zip(at, end, strict=True)
    )


_LIGHT = (Form.AVOID, Form.REACH, Form.AGAIN, Form.OPEN)
"""Forms of claims, from those that are mostly answered soon to those that take time."""


def ruled_out(claim: str, one: Region) -> Ruled:
    """Return a region as the solvers are told of it."""
    told = {
        symbol: Widened(
            moving.base,
            moving.by,
            100 + moving.percent,
            up=moving.percent > 0,
            least=1 if moving.percent < 0 else 0,
        )
        for symbol, moving in one.moving.items()
    }
    rows = tuple((row.terms, row.constant) for row in one.rows)
    return Ruled(claim, one.low, one.high, rows, told)


@dataclass(slots=True, eq=False)
class _Proposals:
    """Settings to look at, one after the other, while the room learns what is ruled out.

    Until one serves, those nearest to the present one come first, each third anywhere. From then on
    the best that is open and one that brings half of what could still be gained take turns.
    """

    open: Openings
    rig: Rig
    claims: tuple[str, ...]
    goal: Goal
    _stand: Setting = field(init=False)
    _weights: tuple[int, ...] = field(init=False)
    _floor: int | None = None
    _near_floor: int = 0
    _serving: int | None = None
    _count: int = 0

    def __post_init__(self) -> None:
        """Weigh steps so that all dials count alike."""
        self._stand = stand(self.rig.dials)
        self._weights = tuple(max(1, FULL_TURN // dial.size) for dial in self.rig.dials)

    def serves(self, at: Setting) -> None:
        """Take note of a setting that serves."""
        self._serving = self.cost(at)

    def cost(self, at: Setting) -> int:
        """Return what a setting costs by the goal."""
        match self.goal.aim:
            case Aim.NEAR:
                return self._away(at)
            case Aim.LEAST:
                return at[self.goal.dial]
            case Aim.MOST:
                return -at[self.goal.dial]
            case _:
                assert_never(self.goal.aim)

    def _away(self, at: Setting) -> int:
        steps = zip(self._weights, at, self._stand, strict=True)
        return sum(weight * abs(one - here) + (one != here) for weight, one, here in steps)

    def next(self) -> Setting | None:
        """Return the next setting to look at, None where no better one is open."""
        self._count += 1
        if self._serving is None:
            anywhere = self._count % 3 == 0
            return self.open.find(self.claims) if anywhere else self._nearest(())
        if self._floor is None:
            self._floor = self._least()
        high, best = self._serving - 1, None
        while self._floor <= high:
            half = (self._floor + high) // 2
            at = self._costing(half)
            if at is None:
                self._floor = half + 1
                continue
            best, high = at, self.cost(at) - 1
            if self._count % 2:
                break
        return best

    def _costing(self, most: int) -> Setting | None:
        """Return an open setting that costs no more than this."""
        if self.goal.aim is Aim.NEAR:
            return self._within(most)
        return self._nearest(self._limits(most))

    def _least(self) -> int:
        """Return what no setting costs less than."""
        dial = self.rig.dials[self.goal.dial]
        return {Aim.NEAR: 0, Aim.LEAST: dial.low, Aim.MOST: -dial.high}[self.goal.aim]

    def _limits(self, most: int) -> tuple[tuple[dict[int, int], int], ...]:
        sign = 1 if self.goal.aim is Aim.LEAST else -1
        return (({self.goal.dial: sign}, most),)

    def _within(
        self, most: int, limits: tuple[tuple[dict[int, int], int], ...] = ()
    ) -> Setting | None:
        return self.open.find(self.claims, limits, (self._stand, self._weights, most))

    def _nearest(self, limits: tuple[tuple[dict[int, int], int], ...]) -> Setting | None:
        """Return the open setting nearest to the present one, by halving the way to it."""
        best = self.open.find(self.claims, limits)
        if best is None:
            return None
        low = 0 if limits else self._near_floor
        while low < (far := self._away(best)):
            half = (low + far - 1) // 2
            nearer = self._within(half, limits)
            if nearer is None:
                low = half + 1
            else:
                best = nearer
        if not limits:
            self._near_floor = low
        return best
