"""A target that is one of several things is proved out of reach thing by thing.

Each piece has a cone of its own, often a small one; invariants of all pieces together are one of
the whole.
"""

from collections.abc import Iterable
from dataclasses import replace

from verifier.engines.contract import Task
from verifier.system.cone import cone
from verifier.system.expr import Node, Op, Pool
from verifier.system.model import Cone
from verifier.verdict.evidence import Invariant


def pieces(task: Task) -> list[Task]:
    """Return a task for each piece of the target; only the task where a piece needs all of it."""
    if task.target.op is not Op.OR:
        return [task]
    parts = [_piece(task, node) for node in task.target.args]
    whole = _size(task.cone)
    return [task] if any(_size(part.cone) == whole for part in parts) else parts


def _piece(task: Task, node: Node) -> Task:
    system = task.cone.system
    roots = [node, system.domain] if task.question.anywhere else [node]
    return replace(task, cone=cone(system, roots), target=node)


def _size(part: Cone) -> int:
    return len(part.registers) + len(part.clocks)


def joined(pool: Pool, proofs: Iterable[Invariant]) -> Invariant:
    """Return what all pieces were proved by, as one invariant.

    What is kept by induction over fewer ticks is so over more.
    """
    proofs = list(proofs)
    node = pool.and_(*(proof.node for proof in proofs))
    return Invariant(node, max(proof.ticks for proof in proofs))
