"""Hand-made systems: a draft, the parts used in the plants, and small random ones."""

from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random
from typing import TYPE_CHECKING, cast

from verifier.engines.contract import Asked, Budget, Task
from verifier.system.cone import cone
from verifier.system.draft import Draft
from verifier.system.expr import Node, Pool
from verifier.system.model import Choice, Clock, Form, Load, Question, System

if TYPE_CHECKING:
    from verifier.design.model import Claim, Design


@dataclass(slots=True, eq=False)
class Bench:
    """A system in the making, with targets that should and should not be met."""

    draft: Draft = field(default_factory=Draft)
    allowed: list[Node] = field(default_factory=list)

    @property
    def pool(self) -> Pool:
        """Where the expressions live."""
        return self.draft.pool

    def choice(self, name: str, options: int = 2) -> Node:
        """Add a choice; return: it stands at option 1."""
        names = tuple(f"{name}{n}" for n in range(options))
        self.draft.choices.append(Choice(name, names, is_press=True))
        return self.pool.pick(len(self.draft.choices) - 1, 1)

    def register(self, name: str, *, start: bool = False) -> Node:
        """Add a kept register."""
        return self.draft.register(name, start=start, kept=True)

    def clock(self, start: int = 0) -> int:
        """Add a clock, to be set later."""
        del start
        return self.draft.open_clock()

    def set_clock(
        self, index: int, loads: list[tuple[Node, int, int]], runs: Node, start: int = 0
    ) -> None:
        """Say how a clock is loaded and runs."""
        made = tuple(Load(when, low, high) for when, low, high in loads)
        self.draft.set_clock(index, Clock(f"c{index}", start, made, runs, kept=True))

    def timer(self, when: Callable[[Node], Node], span: int, *, start: int = 0) -> Node:
        """Add a timer that runs always; `when` gets "it runs" and gives the load condition."""
        index = self.draft.open_clock()
        on = self.pool.above(index, 0)
        self.set_clock(index, [(when(on), span, span)], self.pool.yes, start)
        return on

    def previous(self, node: Node) -> Node:
        """Return: live a tick ago."""
        return self.draft.previous(node, f"was{node.number}")

    def starts(self, node: Node) -> Node:
        """Return: live now and not a tick ago."""
        return self.pool.and_(node, self.pool.not_(self.previous(node)))

    def latch(self, set_: Node, reset: Node) -> Node:
        """Add a latch where reset wins."""
        bit = self.register("latch")
        pool = self.pool
        self.draft.becomes(bit, pool.and_(pool.not_(reset), pool.or_(set_, bit)))
        return bit

    def lasts_over(self, node: Node, ticks: int) -> Node:
        """Return: `node` has been live for more than `ticks` ticks, this one included."""
        index = self.draft.open_clock()
        pool = self.pool
        clock = Clock(
            f"left{index}", ticks, (Load(pool.not_(node), ticks, ticks),), pool.yes, kept=False
        )
        self.draft.set_clock(index, clock)
        return pool.and_(node, pool.not_(pool.above(index, 0)))

    def system(self) -> System:
        """Return the finished system."""
        draft = self.draft
        return System(
            design=cast("Design", None),
            pool=draft.pool,
            choices=tuple(draft.choices),
            registers=draft.registers(),
            clocks=draft.clocks(),
            allowed=draft.pool.and_(*self.allowed),
            domain=draft.pool.yes,
            questions=(),
            shown={},
        )


def question(target: Node, pool: Pool, *, anywhere: bool = False) -> Question:
    """Return a question that asks whether the target is ever met."""
    return Question(
        name="q",
        form=Form.AVOID,
        bad=target,
        goal=pool.no,
        waiting=pool.no,
        trigger=None,
        limit=None,
        anywhere=anywhere,
        whatever=False,
        claim=cast("Claim", None),
    )


def task(system: System, target: Node, *, anywhere: bool = False) -> Task:
    """Return the task to look for a run that meets the target."""
    roots = [target, system.domain] if anywhere else [target]
    return Task(
        cone=cone(system, roots),
        question=question(target, system.pool, anywhere=anywhere),
        asked=Asked.BAD,
        target=target,
        horizon=None,
        seed=1,
    )


def budget(effort: float = 20.0) -> Budget:
    """Return a budget that no small system uses up."""
    return Budget.of(effort, patience=60.0)


def _expression(rng: Random, atoms: list[Node], pool: Pool, depth: int) -> Node:
    if depth == 0 or rng.random() < 0.2:
        atom = rng.choice(atoms)
        return atom if rng.random() < 0.6 else pool.not_(atom)
    parts = [_expression(rng, atoms, pool, depth - 1) for _ in range(rng.choice((2, 2, 3)))]
    match rng.choice(("and", "or", "if")):
        case "and":
            return pool.and_(*parts)
        case "or":
            return pool.or_(*parts)
        case _:
            return pool.if_(parts[0], parts[1], parts[-1])


def random_system(seed: int) -> tuple[System, Node]:
    """Return a small random system and a target; about half of the targets are never met."""
    rng = Random(seed)
    bench = Bench()
    pool = bench.pool
    picks = [bench.choice(f"p{n}", rng.choice((2, 3))) for n in range(rng.randint(0, 2))]
    picks += [pool.pick(n, 2) for n, c in enumerate(bench.draft.choices) if len(c.options) > 2]
    bits = [bench.register(f"r{n}", start=rng.random() < 0.3) for n in range(rng.randint(1, 3))]
    clocks = [bench.draft.open_clock() for _ in range(rng.randint(1, 3))]
    spans = [rng.randint(1, 5) for _ in clocks]
    aboves = [
        pool.above(clock, k)
        for clock, span in zip(clocks, spans, strict=True)
        for k in {0, rng.randint(0, span)}
    ]
    atoms = [*bits, *aboves, *picks]
    for bit in bits:
        bench.draft.becomes(bit, _expression(rng, atoms, pool, 2))
    for clock, span in zip(clocks, spans, strict=True):
        low = span if rng.random() < 0.6 else rng.randint(0, span)
        loads = [Load(_expression(rng, atoms, pool, 2), low, span)]
        if rng.random() < 0.3:
            loads.append(Load(_expression(rng, atoms, pool, 1), span, span, turned=True))
        runs = pool.yes if rng.random() < 0.6 else _expression(rng, atoms, pool, 1)
        start = rng.choice((0, 0, span))
        made = Clock(f"c{clock}", start, tuple(loads), runs, kept=rng.random() < 0.7)
        bench.draft.set_clock(clock, made)
    if rng.random() < 0.4:
        bench.allowed.append(_expression(rng, atoms, pool, 2))
    literals = [
        a if rng.random() < 0.5 else pool.not_(a)
        for a in rng.sample(atoms, min(len(atoms), rng.randint(2, 4)))
    ]
    return bench.system(), pool.and_(*literals)
