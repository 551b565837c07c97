"""An answer by a list of all states, where there are few: no other proof is so soon made."""

from dataclasses import replace

from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.decide import Effort
from verifier.engines.explicit import Explicit
from verifier.logic.judge import Case, judge
from verifier.system.cone import cone
from verifier.system.model import Question, System
from verifier.verdict import rules
from verifier.verdict.answer import Outcome
from verifier.verdict.evidence import Explored

MOST_LISTED = 20_000
"""Longer lists of states are not handed to the judge: the engines are asked instead."""


def listed(system: System, question: Question, asked: Asked, effort: Effort) -> Outcome | None:
    """Return what a list says that the judge accepts; None where there is none, or a way."""
    target = rules.target_of(question, asked)
    task = Task(cone(system, [target]), question, asked, target, None, effort.seed)
    engine = Explicit(most=MOST_LISTED)
    evidence = engine.run(task, Budget.of(effort.seconds, memory=effort.memory))
    if not isinstance(evidence, Explored):
        return None
    ruling = judge(Case.of(system, question, asked), evidence, effort.judge).ruling
    said = rules.said(system, question, asked, evidence, None)
    if not ruling.sound or said is None:
        return None
    return replace(said, engine=engine.name, by=ruling.by)
