"""A design made anew with its dials turned, and what is known of its claims there.

Whatever is said of a setting is what `engines.decide.Decider` says of the design made with it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from verifier.design.model import Design
from verifier.design.resolve import Wishes, resolve
from verifier.design.scope import Unit
from verifier.engines.decide import Decider, Effort
from verifier.simulate.onward import Way, way_on
from verifier.source.diagnostic import Collector
from verifier.syntax import tree
from verifier.system.lower import lower
from verifier.system.model import Question, System
from verifier.tuning.dials import Dial, Setting
from verifier.verdict.answer import Outcome, Verdict

KEPT = 48
"""So many designs are kept, made and lowered, for the case that they are asked for again."""

NO_DESIGN = "with these values it is no design, or no run of it counts"


@dataclass(slots=True, eq=False)
class Rig:
    """One design of a file with dials on it.

    `wishes` are the settings that stand fast. `calls` counts how often a claim was decided.
    """

    block: tree.Block
    unit: Unit
    wishes: Mapping[str, str]
    dials: tuple[Dial, ...]
    effort: Effort
    calls: int = 0
    _made: dict[tuple[Setting, int | None], System | None] = field(default_factory=dict)
    _known: dict[tuple[Setting, int | None, str], Outcome] = field(default_factory=dict)

    def design(self, at: Setting, tolerance: int | None = None) -> Design | None:
        """Return the design with its dials at these places; None where that is none."""
        values = dict(self.wishes)
        for dial, value in zip(self.dials, at, strict=True):
            values[dial.name] = dial.exact(value)
        return resolve(self.block, self.unit, Collector(), Wishes(values, tolerance=tolerance))

    def system(self, at: Setting, tolerance: int | None = None) -> System | None:
        """Return the same as a system; None also where no run of it keeps the assumptions."""
        key = at, tolerance
        if key not in self._made:
            while len(self._made) >= KEPT:
                del self._made[next(iter(self._made))]
            design = self.design(at, tolerance)
            self._made[key] = None if design is None else _with_runs(lower(design))
        return self._made[key]

    def made(self, at: Setting) -> System:
        """Return the system at a setting that is known to be a design."""
        system = self.system(at)
        if system is None:
            raise AssertionError(f"{at} is no design")
        return system

    def decide(self, at: Setting, claim: str, tolerance: int | None = None) -> Outcome:
        """Return the answer to a claim with the dials at these places."""
        key = at, tolerance, claim
        if key not in self._known:
            system = self.system(at, tolerance)
            if system is None:
                self._known[key] = Outcome(Verdict.FAILS, reason=NO_DESIGN)
            else:
                self._known[key] = self.asked(system, question(system, claim))
        return self._known[key]

    def asked(self, system: System, asked: Question) -> Outcome:
        """Return the answer to a question of any system, and count it."""
        self.calls += 1
        return Decider(system, self.effort, worst=False).decide(asked)

    def with_effort(self, effort: Effort) -> "Rig":
        """Return the same with another effort, nothing known."""
        return replace(self, effort=effort, calls=0, _made={}, _known={})


def question(system: System, claim: str) -> Question:
    """Return the question of a claim by name."""
    return next(one for one in system.questions if one.name == claim)


def _with_runs(system: System) -> System | None:
    if system.allowed is system.pool.yes:
        return system
    return None if way_on(system, None)[0] is Way.NONE else system


def moved(at: Setting, place: int, value: int) -> Setting:
    """Return a setting with one dial turned."""
    return (*at[:place], value, *at[place + 1 :])


def texts(dials: Sequence[Dial], at: Setting, tick_ns: int) -> dict[str, str]:
    """Return what to dial, as the language writes it, by name."""
    return {one.name: one.text(value, tick_ns) for one, value in zip(dials, at, strict=True)}
