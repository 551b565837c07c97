"""No dead ends, by a plan that serves from everywhere; dead ends, by a proof from one state on.

Whoever can always reach a goal by the same few acts (let go of everything and wait; hold one lever)
needs no search: that such a script serves from every state that can be reached is a claim of the
"never" kind about the system so guided, and zones prove it. Scripts are tried out from states met
at random first. Where none serves from some state, zones try to prove that nothing does.
"""

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice, product

from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.localise import Localise
from verifier.engines.walk import Beginnings, Temper, upto
from verifier.engines.zones import MET, Zones
from verifier.simulate.machine import Machine, Position, machine
from verifier.simulate.presses import Stretch, state_of, trace_of
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import System
from verifier.verdict.evidence import Act, Evidence, Guided, Invariant, Stopped, Trapped, Why
from verifier.verdict.variant import before, begun_at, guided

STATES = 24
"""States from which scripts are tried out."""

SCRIPTS = 200
"""Scripts that are tried out."""

LOCALISED = 0.4
"""Part of the budget of a proof for localising."""


@dataclass(frozen=True, slots=True)
class Ways:
    """Scripts that lead to the goal from everywhere, or a state from which nothing does."""

    proofs: int = 3
    traps: int = 4
    name: str = "ways"
    description: str = "shows that there are no dead ends by a plan that serves from everywhere"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Return a script with its proof, or a run into a dead end with its proof."""
        if task.asked is not Asked.OPEN:
            return Stopped(Why.NOT_SUITED, "made for dead ends")
        follower = machine(task.cone, (task.target, task.cone.system.allowed))
        scout = Scout(follower, random.Random(task.seed))  # noqa: S311 - nothing secret here
        visited = [Visit((), follower.start()), *scout.visits(Beginnings(task, scout.dice), budget)]
        within = _within(task, follower)
        serving, lost = [], set(range(len(visited)))
        for script in islice(scripts(follower, scout.dice), SCRIPTS):
            served = {n for n, to in enumerate(visited) if scout.serves(to.at, script, within)}
            budget.use(follower.effort * len(visited) * 8)
            lost -= served
            if len(served) == len(visited):
                serving.append(script)
            if len(serving) >= self.proofs or budget.spent():
                break
        for script in serving:
            proof = self._proved(task, script, within, budget)
            if proof is not None:
                return proof
        if not serving:
            for number in sorted(lost - {0})[: self.traps]:
                trapped = self._trapped(task, visited[number], budget)
                if trapped is not None:
                    return trapped
        return Stopped(Why.NOTHING, f"{len(serving)} plans might serve from everywhere")

    def _proved(
        self, task: Task, script: tuple[Act, ...], within: int, budget: Budget
    ) -> Guided | None:
        system = task.cone.system
        whole = tuple(Act(_spread(task, act.choices), act.ticks) for act in script)
        variant = guided(system, task.target, whole, within)
        anywhere = task.question.anywhere
        node = proof_of_never(task, variant.system, variant.target, budget, anywhere=anywhere)
        return None if node is None else Guided(whole, within, node)

    def _trapped(self, task: Task, visit: "Visit", budget: Budget) -> Trapped | None:
        begun = begun_at(task.cone.system, state_of(task.cone, visit.at))
        trace = trace_of(task.cone, visit.run, visit.start)
        node = proof_of_never(task, begun, task.target, budget, anywhere=False)
        if node is not None:
            return Trapped(trace, Invariant(node))
        limit = task.question.limit
        if limit is None:
            return None
        late = before(begun, task.target, limit)
        node = proof_of_never(task, late.system, late.target, budget, anywhere=False)
        return None if node is None else Trapped(trace, Invariant(node), beyond=limit)


def proof_of_never(
    task: Task, system: System, target: Node, budget: Budget, *, anywhere: bool
) -> Node | None:
    """Return an invariant of another system that excludes its target; None if none is found."""
    found = shown_never(task, system, target, budget, anywhere=anywhere)
    return found.node if isinstance(found, Invariant) else None


def shown_never(
    task: Task, system: System, target: Node, budget: Budget, *, anywhere: bool
) -> Invariant | Stopped:
    """Return an invariant of another system that excludes its target, or why there is none.

    Localising may use a part of the budget, zones of the whole what is left of it.
    """
    roots = [target, system.domain] if anywhere else [target]
    asked = replace(task.question, anywhere=anywhere)
    other = replace(
        task, cone=cone(system, roots), question=asked, asked=Asked.BAD, target=target, horizon=None
    )
    why = MET
    for engine, share in ((Localise(), LOCALISED), (Zones(), 1.0)):
        part = budget.slice(budget.left() * share)
        evidence = engine.run(other, part)
        budget.use(part.used)
        match evidence:
            case Invariant():
                return evidence
            case Stopped():
                why = evidence
            case _:
                pass
    return why


def _within(task: Task, follower: Machine) -> int:
    """Return the ticks in which the goal is to be reached: asked for, or ample."""
    if task.question.limit is not None:
        return task.question.limit
    return 16 + 3 * sum(clock.longest for clock in follower.clocks)


def _spread(task: Task, choices: tuple[int, ...]) -> tuple[int, ...]:
    """Return choices of the cone as choices of the whole system."""
    spread = [0] * len(task.cone.system.choices)
    for index, option in zip(task.cone.choices, choices, strict=True):
        spread[index] = option
    return tuple(spread)


def scripts(follower: Machine, dice: random.Random) -> Iterator[tuple[Act, ...]]:
    """Yield plans, the plainest first: let go; hold something; let go, then press; any."""
    rest = follower.rest()
    calm = 1 + max((clock.longest for clock in follower.clocks), default=0)
    single = [
        (*rest[:index], option, *rest[index + 1 :])
        for index, count in enumerate(follower.options)
        for option in range(1, count)
    ]
    several = list(islice(product(*(range(count) for count in follower.options)), 64))
    yield (Act(rest, 1),)
    yield from ((Act(held, 1),) for held in [*single, *several])
    yield from ((Act(rest, calm), Act(held, 1)) for held in [*single, *several])
    yield from ((Act(rest, calm), Act(held, 1), Act(rest, 1)) for held in single)
    yield from ((Act(rest, 1), Act(held, 1), Act(rest, 1)) for held in single)
    while several:
        acts = [Act(dice.choice(several), dice.choice((1, 2, calm))) for _ in range(3)]
        yield (*acts, Act(rest, 1))


@dataclass(frozen=True, slots=True)
class Visit:
    """A run, where it comes to, and where it began: None for the start values."""

    run: Sequence[Stretch]
    at: Position
    start: Position | None = None


@dataclass(slots=True, eq=False)
class Scout:
    """Plays at random, and tries scripts out; watches the goal first and `allowed` second."""

    machine: Machine
    dice: random.Random

    def visits(self, begin: Beginnings, budget: Budget) -> list[Visit]:
        """Return random runs with the states that they come to."""
        found: list[Visit] = []
        for _ in range(4 * STATES):
            visit = self._visit(begin.next(), budget)
            if visit.run or visit.start is not None:
                found.append(visit)
            if len(found) >= STATES or budget.spent():
                break
        return found

    def _visit(self, start: Position | None, budget: Budget) -> Visit:
        dice, options = self.dice, self.machine.options
        temper = Temper.drawn(dice, self.machine.places)
        at, choices = start or self.machine.start(), self.machine.rest()
        run: list[Stretch] = []
        for _ in range(dice.randint(1, 40)):
            if choices and dice.random() < temper.act:
                index = dice.randrange(len(choices))
                option = dice.randrange(options[index])
                choices = (*choices[:index], option, *choices[index + 1 :])
            budget.use(self.machine.effort)
            look = self.machine.look(*at, choices)
            if not look.seen[1]:
                break
            wishes = [upto(dice, clock.longest + 1) - 1 for clock in self.machine.clocks]
            draws = self.machine.fitted(look, wishes)
            most = self.machine.longest_jump(at, look, draws) or 1
            ticks = most if dice.random() < temper.whole else upto(dice, most)
            run.append(Stretch(ticks, choices, draws))
            at = self.machine.after(at, look, draws, ticks)
        return Visit(run, at, start)

    def serves(self, at: Position, script: tuple[Act, ...], within: int) -> bool:
        """Return whether a script leads from a state to the goal in time."""
        gone = 0
        for place, act in enumerate(script):
            until = within + 1 if place == len(script) - 1 else min(gone + act.ticks, within + 1)
            while gone < until:
                look = self.machine.look(*at, act.choices)
                if not look.seen[1]:
                    return False
                if look.seen[0]:
                    return True
                wishes = [upto(self.dice, clock.longest + 1) - 1 for clock in self.machine.clocks]
                draws = self.machine.fitted(look, wishes)
                most = self.machine.longest_jump(at, look, draws)
                ticks = until - gone if most is None else min(most, until - gone)
                at = self.machine.after(at, look, draws, ticks)
                gone += ticks
        return False
