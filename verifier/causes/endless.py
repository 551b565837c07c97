"""Why a run waits for ever: what stays as it is all through its round, and what it stays so by.

Each cause is tried by changing it alone: were it otherwise in the round (pressed, live, running),
the run would not wait from the same tick on for ever. That is asked of the endless run, which is
played on until it comes back to where it was.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from verifier.causes.facts import Fact, Kind
from verifier.causes.grounds import grounds
from verifier.causes.levers import Bench, Pulled, bench, forced_values, levered
from verifier.causes.reasons import Reasons
from verifier.causes.tree import Explained, causes
from verifier.design import model as design
from verifier.design.model import Cond, Net, Not
from verifier.simulate.endless import Held, Round, played
from verifier.simulate.machine import Machine, Position, machine
from verifier.simulate.readings import Readings
from verifier.simulate.watch import watch
from verifier.system.expr import Node
from verifier.system.model import Question, System
from verifier.verdict.trace import Lasso, Step, Trace

_ROUNDS = 3  # the second is looked at: what goes on in it has a before and an after
_MOST = 30  # items are followed back, those nearest to what is waited for first
_FOREVER = 1 << 60


@dataclass(frozen=True, slots=True)
class Stays:
    """A fact that holds all through the round, and the nearest facts of others that keep it so."""

    fact: Fact
    by: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Missed:
    """Without what people did with `path` from tick `tick` on, `timer` would start at `start`."""

    path: str
    tick: int
    timer: str
    start: int


@dataclass(frozen=True, slots=True)
class Waiting:
    """Why a run waits for ever from tick `since` on: `explained` tells how it came to that.

    `roots` are what the answer is missing by, `stays` what keeps those so. `still`: nothing changes
    in the round any more, which begins at tick `back` and takes `period` ticks.
    """

    explained: Explained
    since: int
    back: int
    period: int
    missing: Cond
    roots: tuple[Fact, ...]
    stays: tuple[Stays, ...]
    missed: tuple[Missed, ...]
    still: bool


@dataclass(frozen=True, slots=True, eq=False)
class Endlessly:
    """An endless run that can be played with levers pulled, watched for what it waits through."""

    bench: Bench
    machine: Machine
    start: Position
    round: Round
    since: int | None

    @classmethod
    def of(cls, made: Bench, lasso: Lasso, target: Node) -> "Endlessly":
        """Make a run ready; assumptions have no say in what would be."""
        part = made.machine.cone
        follower = machine(part, (target, part.system.pool.yes))
        run = Round.of(part, lasso)
        found = played(follower, made.start(), run)
        since = None if found is None else found.waits
        return cls(made, follower, made.start(), run, since)

    def changed(self, pulled: Iterable[Pulled], anew: tuple[str, int] | None = None) -> bool:
        """Whether the run waits for ever no more, or from another tick on.

        `anew`: the timer of this path shows so many ticks where the round begins.
        """
        part, held = self.machine.cone, list[Held]()
        for one in pulled:
            index = self.bench.choice(one.path)
            if index not in part.choices:
                return False
            stop = None if one.stop >= _FOREVER else one.stop
            held.append(Held(part.choices.index(index), one.option, one.start, stop))
        clock: tuple[int, int] | None = None
        if anew is not None:
            number = part.system.shown[anew[0]].timer
            if number not in part.clocks:
                return False
            clock = part.clocks.index(number), anew[1]
        found = played(self.machine, self.start, self.round, held, clock)
        return found is not None and found.waits != self.since


def explain_endless(system: System, question: Question, lasso: Lasso) -> Waiting | None:
    """Return why a run waits for ever; None where it was not seen to come back in the cone."""
    made = levered(system.design)
    place = [one.name for one in system.questions].index(question.name)
    target = made.system.questions[place].waiting
    trace = lasso.trace
    run = Endlessly.of(bench(made, trace, target), lasso, target)
    if run.since is None:
        return None
    reasons = Reasons(system, watch(system, _unrolled(lasso)).readings)
    found = grounds(reasons, question, trace.length - 1)
    missed = tuple(_missed(reasons, run, lasso))
    found += [fact for one in missed for fact in _in_the_way(reasons, one)]
    tree = causes(reasons, found, lambda fact: _hangs_on(reasons, run, fact))
    explained = Explained(reasons, trace.length - 1, tuple(found), tree)
    missing = Not(_answer(question.claim.sentence))
    keeper = _Keeper(reasons, run, lasso.back_to, trace.length - lasso.back_to)
    roots, stays = keeper.kept(missing)
    return Waiting(
        explained,
        run.since,
        lasso.back_to,
        keeper.period,
        missing,
        roots,
        stays,
        missed,
        keeper.still,
    )


def _unrolled(lasso: Lasso) -> Trace:
    """Return the run with its round played a few times."""
    steps, tick = list(lasso.trace.steps), 0
    for step in lasso.trace.steps:
        tick += step.ticks
        late = tick - lasso.back_to
        if late > 0:
            steps.append(replace(step, ticks=min(step.ticks, late)))
    again = steps[len(lasso.trace.steps) :]
    return Trace((*steps, *(again * (_ROUNDS - 2))), lasso.trace.start)


def _hangs_on(reasons: Reasons, run: Endlessly, fact: Fact) -> bool:
    """Whether the run would not wait as it does with this fact changed for as long as it lasts."""
    if fact.kind is Kind.RUNS:
        return False  # its start is tried in its place
    before = None
    if fact.kind is Kind.VALUE and fact.since > 0:
        before = reasons.readings.at(fact.path, fact.since - 1)
    pulled = run.bench.otherwise(fact, before)
    if pulled is None:
        return False
    if fact.kind is not Kind.STARTED and fact.until >= reasons.readings.length:
        pulled = replace(pulled, stop=_FOREVER)
    return run.changed([pulled])


def _missed(reasons: Reasons, run: Endlessly, lasso: Lasso) -> Iterator[Missed]:
    """Yield which timers would start, were an act of the run's beginning left out."""
    unrolled = _unrolled(lasso)
    for free in reasons.system.design.free:
        path, index = free.net.path, run.bench.choice(free.net.path)
        for start, end, value in reasons.readings.spans(reasons.readings.changes[path]):
            acts = value != 0 and end <= lasso.trace.length
            if not acts or not run.changed([Pulled(path, 0, start, end)]):
                continue
            twin = watch(reasons.system, _without(unrolled, index, start, end)).readings
            found = _first_start(reasons.readings, twin)
            if found is not None:
                yield Missed(path, start, *found)


def _in_the_way(reasons: Reasons, missed: Missed) -> list[Fact]:
    """Return what kept a timer from starting where it would have started but for an act."""
    loads = reasons.timers[missed.timer].loads
    rows = (reasons.settled(Not(load.condition), missed.start - 1) for load in loads)
    return [fact for row in rows for fact in row]


def _without(trace: Trace, index: int, start: int, end: int) -> Trace:
    """Return the run with a choice at rest for a while."""
    steps, tick = list[Step](), 0
    for step in trace.steps:
        cuts = sorted({tick, tick + step.ticks, *(at for at in (start, end) if at > tick)})
        for at, until in pairwise(at for at in cuts if at <= tick + step.ticks):
            choices = list(step.choices)
            if start <= at < end:
                choices[index] = 0
            steps.append(Step(tuple(choices), step.draws, until - at))
        tick += step.ticks
    return Trace(tuple(steps), trace.start)


def _first_start(one: Readings, other: Readings) -> tuple[str, int] | None:
    """Return the timer that shows more in the other run first, and from which tick on."""
    starts = [
        (shown.tick, path)
        for path, rows in other.timers.items()
        for shown in rows
        if shown.tick < one.length and shown.left > one.left(path, shown.tick)
    ]
    found = min(starts, default=None)
    return None if found is None else (found[1], found[0])


def _answer(sentence: design.Sentence) -> Cond:
    """Return what a claim waits for."""
    match sentence:
        case design.While(_, inner) | design.After(_, inner) | design.FromUntil(_, _, inner):
            return _answer(inner)
        case design.FromAnywhere(inner):
            return _answer(inner)
        case design.LeadsTo(_, effect):
            return effect
        case design.Returns(what) | design.Eventually(what) | design.AlwaysPossible(what):
            return what
        case _:
            raise AssertionError("claims of other forms wait for nothing")


@dataclass(frozen=True, slots=True)
class _Keeper:
    """Finds what keeps things as they are in the round of a run."""

    reasons: Reasons
    run: Endlessly
    back: int
    period: int

    @property
    def first(self) -> int:
        """The first tick of the round that is looked at."""
        return self.back + self.period

    @property
    def last(self) -> int:
        """The last tick of the round that is looked at."""
        return self.first + self.period - 1

    @property
    def still(self) -> bool:
        """Whether nothing that has a name changes in the round."""
        readings = self.reasons.readings
        nets = all(rows[-1][0] <= self.first for rows in readings.changes.values())
        ends = readings.timers.values()
        return nets and not any(rows[-1].falls or rows[-1].tick > self.first for rows in ends)

    def kept(self, missing: Cond) -> tuple[tuple[Fact, ...], tuple[Stays, ...]]:
        """Return what the answer is missing by, and what keeps that so, from item to item."""
        roots = self._origins(self.reasons.throughout(missing, self.first, self.last))
        todo, found, seen = list(roots), list[Stays](), {fact.path for fact in roots}
        while todo and len(seen) < _MOST:
            fact = todo.pop(0)
            by = self._kept_by(fact)
            if by:
                found.append(Stays(fact, by))
            for one in by:
                if one.path not in seen:
                    seen.add(one.path)
                    todo.append(one)
        return roots, tuple(found)

    def _kept_by(self, fact: Fact) -> tuple[Fact, ...]:
        """Return what keeps a timer from being started, or a kept value as it is."""
        reasons = self.reasons
        if fact.since > self.first:
            return ()
        if fact.kind is Kind.OVER:
            loads = reasons.timers[fact.path].loads
            none = [Not(load.condition) for load in loads]
            rows = (reasons.throughout(one, self.first, self.last) for one in none)
            return self._origins([one for row in rows for one in row])
        net = reasons.nets.get(fact.path)
        if net is None or net not in reasons.cases or not self.still:
            return ()
        return self._origins(reasons.taken(reasons.cases[net], self.last))

    def _origins(self, facts: Sequence[Fact]) -> tuple[Fact, ...]:
        """Return the timers, kept values and people behind some facts of whom the waiting hangs."""
        found: dict[str, Fact] = {}
        todo, seen = list(facts), set(facts)
        while todo:
            fact = todo.pop(0)
            net = self.reasons.nets.get(fact.path)
            if net is not None and net.term is not None:
                new = [one for one in self.reasons.behind(fact) if one not in seen]
                seen.update(new)
                todo.extend(new)
            elif fact.path not in found and self._matters(fact):
                found[fact.path] = fact
        return tuple(found.values())

    def _matters(self, fact: Fact) -> bool:
        """Whether it would not wait as it does were this otherwise in the round."""
        if fact.kind in (Kind.OVER, Kind.RUNS):
            loads = self.run.machine.cone.system.clocks
            number = self.run.machine.cone.system.shown[fact.path].timer
            assert number is not None  # noqa: S101 - a timer is shown by its clock
            other = loads[number].longest if fact.kind is Kind.OVER else 0
            return self.run.changed([], (fact.path, other))
        return any(self.run.changed([one]) for one in self._otherwise(fact))

    def _otherwise(self, fact: Fact) -> Iterator[Pulled]:
        net: Net = self.reasons.nets[fact.path]
        levers = self.run.bench.levered.levers
        values = forced_values(net.shape)
        for option, value in enumerate(values):
            if value != fact.value:
                late = 1 if fact.path in levers else 0
                yield Pulled(fact.path, option + late, self.back, _FOREVER)
