"""Induction over a few ticks, with lemmas guessed from random runs.

The guesses are taken together and thinned until each is kept by all of them (Houdini); then the
claim is tried with their help, over one tick, then two, up to six. Only what the proof uses goes
into the invariant.

Methods: C. Flanagan, K. R. M. Leino, "Houdini, an annotation assistant for ESC/Java", FME 2001;
M. Sheeran, S. Singh, G. Stalmarck, "Checking safety properties using induction and a SAT-solver",
FMCAD 2000.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import islice

from verifier.engines.bounded import STEP
from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.lemmas import Samples
from verifier.engines.pieces import joined, pieces
from verifier.engines.projection import some_choice
from verifier.engines.samples import samples
from verifier.logic.native import Result, Room, Term
from verifier.logic.rows import OutOfBudgetError, Row
from verifier.logic.tick import any_tick, first_tick
from verifier.system.expr import Node
from verifier.verdict.evidence import Evidence, Invariant, Stopped, Why

ROOM = 0.01
"""Measured: nominal seconds for a fresh solver with a row in it."""

GUESS = 1.5e-4
"""Measured: nominal seconds to make a guess and to tell the solver of it."""

LOOKED_UP = 5e-6
"""Measured: nominal seconds to look a condition up in a model."""

SUITED = (Asked.BAD, Asked.GOAL, Asked.TRIGGER)


@dataclass(frozen=True, slots=True)
class Induction:
    """Induction over up to `ticks` ticks; guesses from `states` states, more at each stage."""

    ticks: int = 6
    stages: tuple[int, ...] = (100, 300, 1200)
    states: int = 400
    name: str = "induction"
    description: str = "proves claims about many parts that hardly know of each other"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Return an invariant, or say how far it came."""
        if task.asked not in SUITED:
            return Stopped(Why.NOT_SUITED, "induction proves only that a target is never met")
        proofs = []
        for piece in pieces(task):
            found = self._piece(Proof(piece, budget))
            if isinstance(found, Stopped):
                return found
            proofs.append(found)
        return joined(task.cone.system.pool, proofs)

    def _piece(self, proof: "Proof") -> Invariant | Stopped:
        part = proof.budget.slice(proof.budget.left() / 4)
        states = samples(proof.task, part, self.states)
        proof.budget.use(part.used)
        if not states:
            return Stopped(Why.NOTHING, "a random run meets the target: nothing to prove")
        guesses = Samples(proof.task.cone, proof.task.target, states).guesses()
        try:
            return self._prove(proof, (list(islice(guesses, size)) for size in self.stages))
        except OutOfBudgetError:
            return Stopped(Why.TIME, proof.words())

    def _prove(self, proof: "Proof", stages: Iterable[list[Node]]) -> Invariant | Stopped:
        """Try one tick, with more and more guesses, then more ticks. Raises OutOfBudgetError."""
        node = proof.of_one_tick(stages)
        if node is not None:
            return Invariant(node)
        for ticks in range(2, self.ticks + 1):
            node = proof.of_ticks(ticks)
            if node is not None:
                return Invariant(node, ticks)
        return Stopped(Why.NOTHING, proof.words())


@dataclass(slots=True, eq=False)
class Proof:
    """One proof in the making; `lemmas` are kept by one tick, all together."""

    task: Task
    budget: Budget
    guessed: int = 0
    lemmas: list[Node] | None = None
    claim: Node | None = None
    """The target never holds, whatever is chosen; None where that is too long to say."""

    def __post_init__(self) -> None:
        """Say the claim without choices."""
        system = self.task.cone.system
        met = some_choice(system, system.pool.and_(self.task.target, system.allowed))
        if met is None:
            met = some_choice(system, self.task.target)
        self.claim = None if met is None else system.pool.not_(met)

    def words(self) -> str:
        """Return how far it came."""
        if self.lemmas is None:
            return f"{self.guessed} guesses, not all of them tried"
        return f"{len(self.lemmas)} lemmas of {self.guessed} guesses are not enough"

    def _ask(self, room: Room, given: Sequence[Term]) -> Result:
        left = self.budget.left()
        if left <= 0:
            return Result.UNKNOWN
        before = room.steps()
        steps = max(1000, int(left / STEP))
        result = room.check(given, steps=steps, seconds=max(0.05, self.budget.seconds()))
        self.budget.use((room.steps() - before) * STEP + len(given) * LOOKED_UP)
        return result

    def _row(self, room: Room, ticks: int, *, begins: bool = False) -> Row:
        self.budget.use(ROOM)
        part, anywhere = self.task.cone, self.task.question.anywhere
        first = first_tick(room, part, anywhere=anywhere) if begins else any_tick(room, part)
        return Row.of(room, part, first, ticks, self._ask)

    def _true_at_first(self, nodes: Sequence[Node]) -> list[Node]:
        """Return those of the nodes that hold wherever a run may begin."""
        with Room(seed=self.task.seed) as room:
            row = self._row(room, 0, begins=True)
            row.settle(nodes)
            return [one.node for one in row.watched.values()]

    def of_one_tick(self, stages: Iterable[Sequence[Node]]) -> Node | None:
        """Find out which of the nodes are lemmas; return an invariant if they make one."""
        claim = [] if self.claim is None else self._true_at_first([self.claim])
        with Room(seed=self.task.seed) as room:
            row = self._row(room, 1)
            for nodes in stages:
                self.guessed += len(nodes)
                self.budget.use(len(nodes) * GUESS)
                row.settle([*claim, *self._true_at_first(nodes)])
                core = row.excluders(self.task.target)
                if core is not None:
                    return self._closed(row, core)
            self.lemmas = [one.node for one in row.watched.values()]
        return None

    def _closed(self, row: Row, core: Sequence[Node]) -> Node:
        """Return all that some nodes need to be kept by a tick, as one node."""
        needed: dict[int, Node] = {}
        todo = list(core)
        while todo:
            node = todo.pop()
            if node.number not in needed:
                needed[node.number] = node
                todo += row.keepers(node) or ()
        return self.task.cone.system.pool.and_(*needed.values())

    def of_ticks(self, ticks: int) -> Node | None:
        """Return the claim with its lemmas, if they are an invariant over so many ticks."""
        if self.claim is None or self.lemmas is None:
            return None
        with Room(seed=self.task.seed) as room:
            row = self._row(room, ticks)
            row.settle(self.lemmas)
            core = row.keepers(self.claim)
            if core is None:
                return None
            whole = self._closed(row, core)
        for early in range(ticks):
            with Room(seed=self.task.seed) as room:
                row = self._row(room, early, begins=True)
                if row.keepers(self.claim) is None:
                    return None
        return self.task.cone.system.pool.and_(self.claim, whole)
