"""One system with all runs of all settings in a box: what never happens in it never does there.

Each number of ticks that moves with the dials is drawn anew from all that it can be in the box. A
run at any one setting draws the same each time, so it is among the runs of this system; the reverse
is not true, and a run of it shows nothing.
"""

from dataclasses import replace

from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.search import Effort
from verifier.engines.ways import Ways
from verifier.logic.judge import Case, judge, settled
from verifier.system.cone import cone
from verifier.system.model import Clock, Load, Question, System
from verifier.tuning.dials import Setting, Sort
from verifier.tuning.dials_frame import shape_of
from verifier.tuning.dials_rig import Rig, question
from verifier.verdict import rules
from verifier.verdict.answer import Verdict
from verifier.verdict.evidence import Guided


def widened(rig: Rig, low: Setting, high: Setting, claim: str) -> System | None:
    """Return the system of a box for one claim, None where more than lengths of spans differ.

    Clocks that the claim does not hang on are those of the highest corner. Only dials that are mere
    lengths may be apart. All numbers grow with them, and designs of one shape at both corners have
    that shape in between (see `dials_frame`).
    """
    least, most = rig.system(low), rig.system(high)
    if least is None or most is None:
        return None
    if low == high:
        return least
    bent = least.design.pinned | most.design.pinned
    apart = (dial for dial, one, other in zip(rig.dials, low, high, strict=True) if one != other)
    if any(dial.sort is not Sort.TIME or dial.name in bent for dial in apart):
        return None
    asked = question(most, claim)
    if asked.anywhere or question(least, claim).limit != asked.limit:
        return None
    if shape_of(least) != shape_of(most):
        return None
    trigger = asked.trigger or most.pool.no
    needed = cone(most, [asked.bad, asked.goal, asked.waiting, trigger]).clocks
    clocks = []
    for index, (one, other) in enumerate(zip(least.clocks, most.clocks, strict=True)):
        joined = _joined(one, other) if index in needed else other
        if joined is None:
            return None
        clocks.append(joined)
    return replace(most, clocks=tuple(clocks))


def _joined(one: Clock, other: Clock) -> Clock | None:
    """Return a clock that draws all that either of two would load, and all in between."""
    if one.start != other.start:
        return None
    loads = []
    for low, high in zip(one.loads, other.loads, strict=True):
        joined = Load(high.when, low.low, high.high, high.turned)
        grows = low.low <= high.low and low.high <= high.high
        if not grows or (high.turned and joined.low != joined.high):
            return None
        loads.append(joined)
    return replace(other, loads=tuple(loads))


def served(system: System, asked: Question, effort: Effort) -> bool:
    """Return whether one script leads to the goal of `always possible` from everywhere in a box.

    It does so however spans are drawn, and so at every setting of the box; other proofs that there
    is no dead end would not carry over. The judge checks it.
    """
    goal = asked.goal
    task = Task(cone(system, [goal]), asked, Asked.OPEN, goal, None, effort.seed)
    evidence = Ways(traps=0).run(task, Budget.of(effort.seconds, memory=effort.memory))
    if not isinstance(evidence, Guided):
        return False
    case = Case(system, goal, asked.anywhere, rules.shows_of(Asked.OPEN))
    judged = judge(case, evidence, effort.judge)
    if not settled(case, Asked.OPEN, evidence, judged).sound:
        return False
    said = rules.said(system, asked, Asked.OPEN, evidence, judged.seen)
    return said.verdict is Verdict.HOLDS
