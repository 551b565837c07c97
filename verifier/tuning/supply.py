"""Variants of a design with other amounts in the places of its parts.

An amount is rewritten in the syntax tree, in the placement of its part, and the design is resolved
anew: so a variant is what a person would have written.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from verifier.design import model
from verifier.design.model import Claim, Design, Live
from verifier.design.resolve import Wishes, resolve
from verifier.design.scope import Unit
from verifier.engines.decide import Decider, Effort
from verifier.simulate.onward import Way, way_on
from verifier.source.diagnostic import Collector
from verifier.syntax import tree
from verifier.system.lower import lower
from verifier.system.model import Form, Question, System
from verifier.tuning.units import users
from verifier.verdict.answer import Outcome, Reach, Verdict

_GETS = " gets its "
NO_DESIGN = "with this amount it is no design, or no run of it counts"


@dataclass(frozen=True, slots=True)
class Knob:
    """An amount in the placement of a part: which statement of the design, which argument."""

    part: str
    parameter: str
    place: int
    argument: int
    now: int


def knobs(block: tree.Block, unit: Unit, design: Design) -> tuple[Knob, ...]:
    """Return the amounts of units that are written out in the placements of parts."""
    known = {part.path: part for part in design.parts}
    found: list[Knob] = []
    for place, statement in enumerate(block.body):
        if not isinstance(statement, tree.Part):
            continue
        kind, part = unit.kind(statement.kind.text), known.get(statement.name.name)
        if kind is None or part is None:
            continue  # several parts at once
        now = dict(part.arguments)
        found += [
            Knob(part.path, parameter, place, argument, int(now[parameter]))
            for argument, parameter in _units(statement, kind[0])
        ]
    return tuple(found)


def _units(statement: tree.Part, kind: tree.Block) -> list[tuple[int, str]]:
    """Return the arguments that are amounts of units: their place, and the parameter's name."""
    named = {one.name.text: one for one in kind.parameters}
    found = []
    for place, argument in enumerate(statement.arguments):
        if argument.name is not None:
            parameter = named.get(argument.name.text)
        else:
            parameter = kind.parameters[place] if place < len(kind.parameters) else None
        if (
            parameter is not None
            and isinstance(parameter.type, tree.PlainType)
            and parameter.type.plain is tree.Plain.UNITS
        ):
            found.append((place, parameter.name.text))
    return found


def sources(design: Design, found: Sequence[Knob]) -> tuple[Knob, ...]:
    """Return the knobs of parts that give power and get none."""
    giving = {part.path for part in source_parts(design)}
    return tuple(one for one in found if one.part in giving)


def source_parts(design: Design) -> list[model.Part]:
    """Return the parts that give power and get none."""
    return [
        part
        for part in design.parts
        if not part.inside
        and any(net.power for net in part.ports_out)
        and not any(net.power for net in part.ports_in)
    ]


def turned(block: tree.Block, values: Mapping[Knob, int]) -> tree.Block:
    """Return the design with other amounts."""
    amounts = {(knob.place, knob.argument): value for knob, value in values.items()}
    body = tuple(
        _told(statement, place, amounts) if isinstance(statement, tree.Part) else statement
        for place, statement in enumerate(block.body)
    )
    return replace(block, body=body)


def _told(part: tree.Part, place: int, amounts: Mapping[tuple[int, int], int]) -> tree.Part:
    arguments = tuple(
        replace(old, value=tree.Number(amounts[place, at], span=old.value.span))
        if (place, at) in amounts
        else old
        for at, old in enumerate(part.arguments)
    )
    return replace(part, arguments=arguments)


# --- claims of a variant --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Tried:
    """What was found with one amount: `claim` is the first that does not hold (None: all do).

    `outcome` is the answer to it. `holds` is None where a claim stays unknown and none was found to
    fail. `system` is None where it is no design with this amount.
    """

    value: int
    holds: bool | None
    claim: str | None
    outcome: Outcome
    system: System | None


@dataclass(slots=True, eq=False)
class Bench:
    """One design of a file, and what is known of its claims with other amounts.

    Besides its own claims each part that can be fed now must still be able to be: else no supply at
    all would serve many a design. `fails` counts which claim fails most often; it is asked first.
    """

    block: tree.Block
    unit: Unit
    wishes: Wishes
    effort: Effort
    fails: dict[str, int] = field(default_factory=dict)
    _made: dict[frozenset[tuple[Knob, int]], System | None] = field(default_factory=dict)
    _known: dict[tuple[int, str], Outcome] = field(default_factory=dict)

    def system(self, values: Mapping[Knob, int]) -> System | None:
        """Return a variant; None where it is no design, or none of its runs counts."""
        key = frozenset((knob, value) for knob, value in values.items() if value != knob.now)
        if key not in self._made:
            self._made[key] = self._variant(values)
        return self._made[key]

    def _variant(self, values: Mapping[Knob, int]) -> System | None:
        design = resolve(turned(self.block, values), self.unit, Collector(), self.wishes)
        if design is None:
            return None
        fed = [
            Claim(
                gets_name(part),
                None,
                model.Possible(Live(part.fed), None, whatever=False),
                design.span,
                "",
            )
            for part in users(design)
            if part.fed is not None
        ]
        system = lower(replace(design, claims=(*design.claims, *fed)))
        if system.allowed is not system.pool.yes and way_on(system, None)[0] is not Way.FOUND:
            return None
        return system

    def failing(self, system: System) -> tuple[str, ...]:
        """Return the claims that do not hold as things stand."""
        return tuple(one.name for one in system.questions if not _holds(self.decide(system, one)))

    def standing(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Return the claims that fail as the design stands, and those not known to hold."""
        system = self.system({})
        if system is None:
            return (), ()
        open_ = self.failing(system)
        asked = [one for one in system.questions if one.name in open_]
        fails = {one.name for one in asked if self.decide(system, one).verdict is Verdict.FAILS}
        return (
            tuple(one for one in open_ if one in fails),
            tuple(one for one in open_ if one not in fails),
        )

    def decide(self, system: System, question: Question) -> Outcome:
        """Return the answer to a question of a variant."""
        key = id(system), question.name  # the systems are kept, so no two have the same
        if key not in self._known:
            decider = Decider(system, self.effort, worst=False)
            self._known[key] = decider.decide(question)
        return self._known[key]

    def tried(
        self,
        value: int,
        values: Mapping[Knob, int],
        left_out: Sequence[str],
        *,
        with_run: bool = False,
    ) -> Tried:
        """Return whether all claims hold but those left out; the first that fails is enough.

        `with_run`: first those are asked that fail by a run, where they do.
        """
        system = self.system(values)
        if system is None:
            reason = Outcome(Verdict.FAILS, reason=NO_DESIGN)
            return Tried(value, holds=False, claim="", outcome=reason, system=None)
        asked = [one for one in system.questions if one.name not in left_out]
        if with_run:
            asked.sort(key=lambda one: _BY_RUN.index(one.form))
        else:
            asked.sort(key=lambda one: (-self.fails.get(one.name, 0), _LIGHT.index(one.form)))
        unknown: Tried | None = None
        for question in asked:
            outcome = self.decide(system, question)
            if outcome.verdict is Verdict.FAILS:
                self.fails[question.name] = self.fails.get(question.name, 0) + 1
                return Tried(
                    value, holds=False, claim=question.name, outcome=outcome, system=system
                )
            if not _holds(outcome) and unknown is None:
                unknown = Tried(
                    value, holds=None, claim=question.name, outcome=outcome, system=system
                )
        fine = Outcome(Verdict.HOLDS)
        return unknown or Tried(value, holds=True, claim=None, outcome=fine, system=system)


def gets_name(part: model.Part) -> str:
    """Return the name of the claim that a part can get its units; no claim's own has a blank."""
    return f"{part.path}{_GETS}{part.draw}"


def gets_part(name: str) -> str | None:
    """Return the part that such a claim is about; None for a claim of the design's own."""
    part, gets, _ = name.partition(_GETS)
    return part if gets else None


def _holds(outcome: Outcome) -> bool:
    """Whether a claim holds for ever; up to a time is not enough for a proof."""
    return outcome.verdict is Verdict.HOLDS and outcome.reach is not Reach.UP_TO


_LIGHT = (Form.REACH, Form.AVOID, Form.AGAIN, Form.OPEN)
"""Forms of claims, from those that are mostly answered soon to those that take time."""

_BY_RUN = (Form.AVOID, Form.AGAIN, Form.OPEN, Form.REACH)
"""Forms of claims, from those whose failing is shown by a plain run to those without one."""
