"""Certificates: what was found of a claim and what shows it, as a text that can be judged again.

The form is told in docs/certificates.md: a head that names the design, the claim and the verdict,
then a proof or two. Lines are of words, whole numbers, and names in quotes as JSON writes them;
after a `#` comes what only people read. `verdict/certificate_reader.py` reads it back.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import assert_never

from verifier.system.dump import dump_node, quoted
from verifier.system.expr import Node, Op
from verifier.system.model import Question, System
from verifier.verdict.answer import Outcome, Reach, Verdict
from verifier.verdict.evidence import (
    Act,
    Certain,
    Circles,
    Closed,
    Evidence,
    Explored,
    Foiled,
    Guided,
    Invariant,
    Patient,
    Proof,
    Reaches,
    Trapped,
)
from verifier.verdict.rules import target_of
from verifier.verdict.trace import Lasso, State, Step, Trace
from verifier.verdict.variant import acts_of, before, certain, guided, patience

VERSION = 1
BEGINS = "latchwork certificate "
FIRST = f"{BEGINS}{VERSION}"
"""The first line of a certificate; of other versions it begins so, too."""

LONGEST = "longest"
SHORTEST = "shortest"
"""Where all spans are drawn, in a proof that no choices lead to a goal then."""

LARGEST = 64 << 20
"""Bytes; longer ones are neither written nor read."""


@dataclass(frozen=True, slots=True)
class Head:
    """What a certificate is about.

    `file` is the path of the design, seen from the folder of the certificate; `settings` are the
    values that were given to it; `system` is the hash of what it means. `until` is the last tick
    covered, None for a verdict that holds for ever.
    """

    file: str
    design: str
    tick_ns: int
    settings: tuple[tuple[str, str], ...]
    system: str
    claim: str
    written: str
    verdict: Verdict
    until: int | None

    def says(self, outcome: Outcome) -> bool:
        """Whether the verdict is that of an outcome."""
        until = outcome.until if outcome.reach is Reach.UP_TO else None
        return (outcome.verdict, until) == (self.verdict, self.until)


def certificate(head: Head, proofs: str) -> str:
    """Return the whole text; `proofs` is that of `proofs_text`."""
    until = "" if head.until is None else f" {head.until}"
    lines = [
        FIRST,
        f"file {quoted(head.file)}",
        f"design {quoted(head.design)}",
        f"tick {head.tick_ns}",
        *(f"set {quoted(name)} {quoted(value)}" for name, value in head.settings),
        f"system {head.system}",
        f"claim {quoted(head.claim)}",
        f"written {quoted(head.written)}",
        f"verdict {head.verdict.value}{until}",
    ]
    return "\n".join([*lines, f"{proofs}end", ""])


def proofs_text(system: System, question: Question, proofs: Sequence[Proof]) -> str:
    """Return the text of what shows a verdict, each line with its end."""
    lines: list[str] = []
    for proof in proofs:
        writer = _Writer(system, target_of(question, proof.asked))
        first, *rest = writer.evidence(proof.evidence)
        lines += [f"proof {proof.asked.value} {first}", *rest]
    return "".join(f"{line}\n" for line in lines)


@dataclass(frozen=True, slots=True)
class _Writer:
    system: System
    target: Node

    def evidence(self, evidence: Evidence) -> Iterator[str]:
        """Yield lines; the first lacks what the evidence is about."""
        match evidence:
            case Reaches(trace, _, onward):
                yield "run"
                yield from self._run(trace, onward)
            case Circles(lasso):
                yield f"circle {lasso.back_to}"
                yield from self._steps(lasso.trace)
            case Closed(until, jumps):
                yield f"jumps {jumps}" if until is None else f"jumps {jumps} until {until}"
            case Invariant() | Explored():
                yield from self._inside(evidence, self.system)
            case Trapped(trace, inside, onward, beyond):
                yield "trap" if beyond is None else f"trap {beyond}"
                yield from self._run(trace, onward)
                aged = None if beyond is None else before(self.system, self.target, beyond).system
                first, *rest = self._inside(inside, aged or self.system)
                yield from [f"inside {first}", *rest]
            case Guided(script, within, node):
                yield f"plan {within}"
                yield from (self._act(act) for act in script)
                variant = guided(self.system, self.target, script, within)
                yield from _nodes(variant.system, node)
            case Certain(trace, within, node):
                yield f"certain {within}"
                yield from self._steps(trace)
                variant = certain(self.system, self.target, acts_of(trace), within)
                yield from _nodes(variant.system, node)
            case Foiled(longest, node):
                yield f"drawn {LONGEST if longest else SHORTEST}"
                yield from _nodes(self.system, node)
            case Patient(ticks, node):
                yield f"patience {ticks}"
                variant = patience(self.system, self.target, ticks)
                yield from _nodes(variant.system, node)
            case _:
                assert_never(evidence)

    def _inside(self, evidence: Invariant | Explored, system: System) -> Iterator[str]:
        match evidence:
            case Invariant(node, ticks):
                yield f"invariant {ticks}"
                yield from _nodes(system, node)
            case Explored(states, dead):
                yield "list"
                for word, ranks in (("state", states), ("dead", dead)):
                    yield from (f"{word} {rank} {_state(at)}" for at, rank in ranks.items())
            case _:
                assert_never(evidence)

    def _run(self, trace: Trace, onward: Lasso | None) -> Iterator[str]:
        yield from self._steps(trace)
        if onward is not None:
            yield f"onward {onward.back_to}"
            # It begins where the run ends, which need not be told once more.
            yield from map(self._step, onward.trace.steps)

    def _steps(self, trace: Trace) -> Iterator[str]:
        if trace.start is not None:
            yield f"start {_state(trace.start)}"
        yield from map(self._step, trace.steps)

    def _step(self, step: Step) -> str:
        words = ["step", step.ticks, "choose", *step.choices, "draw", *step.draws]
        return f"{' '.join(map(str, words))}{self._chosen(step.choices)}"

    def _act(self, act: Act) -> str:
        words = ["act", act.ticks, "choose", *act.choices]
        return f"{' '.join(map(str, words))}{self._chosen(act.choices)}"

    def _chosen(self, choices: Sequence[int]) -> str:
        named = [
            f"{choice.name}: {choice.options[option]}"
            for choice, option in zip(self.system.choices, choices, strict=True)
            if option
        ]
        return _remark(", ".join(named)) if named else ""


def _nodes(system: System, node: Node) -> Iterator[str]:
    def remark(one: Node) -> str:
        match one.op:
            case Op.REGISTER:
                return _remark(system.registers[one.data[0]].name)
            case Op.ABOVE:
                return _remark(f"{system.clocks[one.data[0]].name} shows more than {one.data[1]}")
            case Op.GAP:
                first, other = (system.clocks[index].name for index in one.data[:2])
                return _remark(f"{first} shows at most {one.data[2]} more than {other}")
            case _:
                return ""

    yield from dump_node(system.pool, node, remark).splitlines()


def _remark(words: str) -> str:
    return "  # " + "".join(letter if letter.isprintable() else " " for letter in words)


def _state(state: State) -> str:
    registers = "".join("1" if live else "0" for live in state.registers)
    return " ".join([registers or "-", *map(str, state.clocks)])
