"""Runs of a cone as a row of jumps, in the solver.

A jump is d >= 1 ticks with the same choices and draws, equal to d single ticks: where d > 1 all
registers are stable, a clock that is being loaded already stands at its load as far as any
comparison can tell, and no comparison of a running clock changes before the last of the d ticks.

Two constraints make a bounded number of jumps cover all runs up to a time; docs/adr/0012 has the
argument. *Maximal*: a jump ends only where a register was unstable, a load moved a clock, a running
clock met a comparison, the choices change, or a drawn span moves its clock. *Observed*: choices
change only where some next value, load, run condition, assumption or the target depends on it.
"""

from dataclasses import dataclass, field

from verifier.logic.native import Model, Term
from verifier.logic.observed import Change, Observer, Scene, dependents
from verifier.logic.terms import Options, Terms, encode, fixed_option, options
from verifier.logic.tick import Tick, first_tick, loaded
from verifier.system.expr import Node, Op
from verifier.system.model import Clock, Cone, Load
from verifier.verdict.trace import State, Step, Trace


@dataclass(frozen=True, slots=True)
class Loading:
    """A load in one jump: whether it is taken, what its clock shows next, whether that stays."""

    load: Load
    taken: Term
    value: Term
    stays: Term


@dataclass(frozen=True, slots=True)
class Jump:
    """One jump: its state, choices, length, the ticks before it, and how it may end by itself."""

    at: Tick
    scene: Scene
    length: Term
    before: Term
    draws: dict[int, tuple[Loading, ...]]
    quiet: Term
    meets: Term
    redrawn: Term
    change: Change


@dataclass(slots=True, eq=False)
class Unrolling:
    """Runs of a cone that meet a target, jump by jump; `jumps` holds those made so far.

    What each jump claims is claimed of the room at once, or is put into `held` where that is given.
    """

    room: Terms
    cone: Cone
    target: Node
    anywhere: bool
    held: list[Term] | None = None
    jumps: list[Jump] = field(default_factory=list)
    _nodes: list[Node] = field(default_factory=list)
    _thresholds: dict[int, tuple[int, ...]] = field(default_factory=dict)
    _observer: Observer = field(init=False)

    def __post_init__(self) -> None:
        """Collect what is read, and make the first jump."""
        self._nodes = dependents(self.cone, self.target)
        read: dict[int, set[int]] = {index: set() for index in self.cone.clocks}
        for node in self._nodes:
            if node.op is Op.ABOVE:
                read[node.data[0]].add(node.data[1])
        self._thresholds = {index: tuple(sorted(found)) for index, found in read.items()}
        least = {index: min(found, default=0) for index, found in read.items()}
        self._observer = Observer(self.room, self.cone, self.target, self._nodes, least)
        start = first_tick(self.room, self.cone, anywhere=self.anywhere)
        nobody = {
            index: fixed_option(self.room, len(self.cone.system.choices[index].options), 0)
            for index in self.cone.choices
        }
        self._add(start, self.room.number(0), nobody)

    # --- one jump ------------------------------------------------------------------------------

    def _add(self, at: Tick, before: Term, chosen: dict[int, Options]) -> None:
        """Add a jump; `chosen` is what the choices were before it."""
        room, system = self.room, self.cone.system
        terms = self._terms(at)
        self._claim(terms[system.allowed.number])
        stable = room.and_(
            room.not_(room.differ(at.registers[index], terms[system.registers[index].next.number]))
            for index in self.cone.registers
        )
        loads = {
            index: self._loads(system.clocks[index], index, at, terms) for index in self.cone.clocks
        }
        rests = [room.implies(one.taken, one.stays) for found in loads.values() for one in found]
        quiet = room.and_([stable, *rests])
        length = room.whole()
        self._claim(room.above(length, 0))
        self._claim(room.or_((quiet, room.at_most(length, room.number(1)))))
        meets = self._meets(at, terms, loads, length)
        redrawn = room.or_(
            room.and_((one.taken, room.not_(one.stays)))
            for found in loads.values()
            for one in found
            if one.load.low != one.load.high
        )
        shown = {index: tuple(one.value for one in found) for index, found in loads.items()}
        scene = Scene(terms, at.registers, at.clocks, shown)
        change = self._change(scene, at, chosen)
        self.jumps.append(Jump(at, scene, length, before, loads, quiet, meets, redrawn, change))

    def _claim(self, term: Term) -> None:
        if self.held is None:
            self.room.claim(term)
        else:
            self.held.append(term)

    def _terms(self, at: Tick) -> dict[int, Term]:
        def leaf(node: Node) -> Term:
            if node.op is Op.PICK:
                return at.choices[node.data[0]].taken[node.data[1]]
            if node.op is Op.REGISTER:
                return at.registers[node.data[0]]
            return self.room.above(at.clocks[node.data[0]], node.data[1])

        return encode(self.room, self._nodes, leaf, {})

    def _change(self, scene: Scene, at: Tick, chosen: dict[int, Options]) -> Change:
        """Claim that a change of choices is observed, as far as this jump can tell."""
        room = self.room
        changed = room.or_(
            room.differ(one, other)
            for index in self.cone.choices
            for one, other in zip(at.choices[index].digits, chosen[index].digits, strict=True)
        )
        before = {index: chosen[index].taken for index in self.cone.choices}
        change = self._observer.change(scene, before, changed)
        self._claim(room.implies(changed, room.or_((change.direct, change.memory))))
        return change

    def _loads(
        self, clock: Clock, index: int, at: Tick, terms: dict[int, Term]
    ) -> tuple[Loading, ...]:
        room, shows = self.room, at.clocks[index]
        earlier, found = room.no, []
        for load in clock.loads:
            taken = room.and_((terms[load.when.number], room.not_(earlier)))
            earlier = room.or_((earlier, terms[load.when.number]))
            value = loaded(room, load, shows)
            stays = room.equal(value, shows) if load.turned else self._alike(index, value, shows)
            found.append(Loading(load, taken, value, stays))
        return tuple(found)

    def _alike(self, index: int, one: Term, other: Term) -> Term:
        """Return: no comparison that anyone makes tells the two values of a clock apart."""
        room = self.room
        return room.and_(
            room.not_(room.differ(room.above(one, k), room.above(other, k)))
            for k in self._thresholds[index]
        )

    def _meets(
        self,
        at: Tick,
        terms: dict[int, Term],
        loads: dict[int, tuple[Loading, ...]],
        length: Term,
    ) -> Term:
        """Bound a jump by the comparisons of running clocks; return: it ends at one of them."""
        room, met = self.room, []
        for index in self.cone.clocks:
            clock, shows = self.cone.system.clocks[index], at.clocks[index]
            taken = room.or_(one.taken for one in loads[index])
            counts = room.and_((terms[clock.runs.number], room.not_(taken)))
            for k in self._thresholds[index]:
                above = room.and_((counts, room.above(shows, k)))
                left = room.minus(shows, room.number(k))
                self._claim(room.implies(above, room.at_most(length, left)))
                met.append(room.and_((above, room.equal(length, left))))
        return room.or_(met)

    # --- a row of jumps ------------------------------------------------------------------------

    def extend(self) -> None:
        """Add a jump behind the last, which must end for one of the reasons there are."""
        room, system, last = self.room, self.cone.system, self.jumps[-1]
        nexts = {
            index: last.scene.terms[system.registers[index].next.number]
            for index in self.cone.registers
        }
        clocks = {index: self._named(self._next_clock(index, last)) for index in self.cone.clocks}
        choices = {
            index: options(room, len(system.choices[index].options)) for index in self.cone.choices
        }
        before = self._named(room.plus(last.before, last.length))
        self._add(Tick(nexts, clocks, choices), before, last.at.choices)
        new = self.jumps[-1]
        single, change = room.at_most(last.length, room.number(1)), last.change
        later = room.or_((room.not_(single), self._observer.later(new.scene, change)))
        seen = room.or_((change.direct, room.and_((change.memory, later))))
        self._claim(room.implies(change.changed, seen))
        reasons = (room.not_(last.quiet), last.meets, new.redrawn, new.change.changed)
        self._claim(room.or_(reasons))

    def _named(self, value: Term) -> Term:
        """Return an unknown that equals a value: nested choices of numbers slow the solver down."""
        name = self.room.whole()
        self.room.claim(self.room.equal(name, value))
        return name

    def _next_clock(self, index: int, jump: Jump) -> Term:
        room, clock = self.room, self.cone.system.clocks[index]
        shows = jump.at.clocks[index]
        less = room.minus(shows, jump.length)
        runs = room.if_(room.above(less, 0), less, room.number(0))
        value = room.if_(jump.scene.terms[clock.runs.number], runs, shows)
        for one in jump.draws[index]:
            value = room.if_(one.taken, one.value, value)
        return value

    # --- what is asked of it -------------------------------------------------------------------

    def met(self, jump: int) -> Term:
        """Return: the target holds in a jump."""
        return self.jumps[jump].scene.terms[self.target.number]

    def begins_by(self, jump: int, tick: int) -> Term:
        """Return: a jump begins at the given tick or before."""
        return self.room.at_most(self.jumps[jump].before, self.room.number(tick))

    def begins(self, model: Model, jump: int) -> int:
        """Return the tick at which a jump begins, in a model."""
        return model.whole(self.jumps[jump].before)

    def trace(self, model: Model, jump: int) -> Trace:
        """Return the run of a model up to the first tick of a jump."""
        steps = []
        for number, one in enumerate(self.jumps[: jump + 1]):
            ticks = 1 if number == jump else model.whole(one.length)
            steps.append(Step(self._chosen(model, one), self._drawn(model, one), ticks))
        return Trace(tuple(steps), self._state(model) if self.anywhere else None)

    def _chosen(self, model: Model, jump: Jump) -> tuple[int, ...]:
        chosen = [0] * len(self.cone.system.choices)
        for index in self.cone.choices:
            chosen[index] = jump.at.choices[index].chosen(model)
        return tuple(chosen)

    def _drawn(self, model: Model, jump: Jump) -> tuple[int, ...]:
        drawn = [0] * len(self.cone.system.clocks)
        for index in self.cone.clocks:
            for one in jump.draws[index]:
                if one.load.low != one.load.high and model.flag(one.taken):
                    drawn[index] = model.whole(one.value)
        return tuple(drawn)

    def _state(self, model: Model) -> State:
        system, at = self.cone.system, self.jumps[0].at
        registers = [register.start for register in system.registers]
        clocks = [clock.start for clock in system.clocks]
        for index in self.cone.registers:
            registers[index] = model.flag(at.registers[index])
        for index in self.cone.clocks:
            clocks[index] = model.whole(at.clocks[index])
        return State(tuple(registers), tuple(clocks))
