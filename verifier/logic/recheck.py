"""Judges certificates again, from the source of the design alone; no engine has a part in it.

certificate -> design -> system -> proofs -> judge -> what they say -> is it the verdict?
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from verifier.design import files
from verifier.design.model import Design
from verifier.design.resolve import Wishes, designs_in, resolve
from verifier.logic.judge import Case, judge, settled
from verifier.logic.tick import Limits
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.syntax.mistakes import no_file
from verifier.system.dump import digest
from verifier.system.lower import lower
from verifier.system.model import Question, System
from verifier.verdict import rules, wording
from verifier.verdict.answer import Outcome, Verdict
from verifier.verdict.certificate import FIRST, LARGEST, Head, proofs_text
from verifier.verdict.certificate_reader import UnreadableError, certificate_of, proofs_of
from verifier.verdict.evidence import Proof
from verifier.verdict.ruling import Ruling, together, unsure, wrong


def shown(
    system: System, question: Question, proofs: Sequence[Proof], limits: Limits
) -> tuple[Ruling, Outcome]:
    """Return whether all proofs are sound, and what they say together where they are."""
    if len({proof.asked for proof in proofs}) < len(proofs):
        return wrong("it shows the same thing more than once"), Outcome(Verdict.UNKNOWN)
    rulings: list[Ruling] = []
    outcomes = {}
    for proof in proofs:
        case = Case.of(system, question, proof.asked)
        judged = judge(case, proof.evidence, limits)
        rulings.append(settled(case, proof.asked, proof.evidence, judged))
        if not rulings[-1].sound:
            return rulings[-1], Outcome(Verdict.UNKNOWN)
        outcomes[proof.asked] = rules.said(
            system, question, proof.asked, proof.evidence, judged.seen
        )
    return together(*rulings), rules.together(question, outcomes)


def certified(
    system: System, question: Question, proofs: Sequence[Proof], limits: Limits, verdict: Verdict
) -> tuple[str, Ruling]:
    """Return the text of the proofs, and what judge and second solver say of it, read back.

    It is refused, too, where what it shows is not the verdict.
    """
    text = proofs_text(system, question, proofs)
    if len(text) > LARGEST:
        return "", unsure(f"a certificate would have more than {LARGEST >> 20} MiB")
    ruling, outcome = shown(system, question, proofs_of(text, system), replace(limits, second=True))
    if ruling.sound and outcome.verdict is not verdict:
        ruling = wrong("the proofs show something, but not the verdict")
    return text, ruling


@dataclass(frozen=True, slots=True)
class Rechecked:
    """A certificate and the ruling on it; `file` is that of the design."""

    head: Head
    file: Path
    system: System
    ruling: Ruling


def recheck(
    path: Path, source: Path | None, limits: Limits, collector: Collector
) -> Rechecked | None:
    """Return the ruling on a certificate; None where it cannot be put to the judge, which is told.

    `source` is the file of the design, None for the one that the certificate names.
    """
    text = _text(path, collector)
    if text is None:
        return None
    try:
        read = certificate_of(text.text)
        file = path.parent / read.head.file if source is None else source
        found = _asked_of(read.head, path, file, collector)
        if found is None:
            return None
        system, question = found
        proofs = proofs_of(read.proofs, system, read.above)
    except UnreadableError as error:
        collector.add(wording.broken(text, error.line, str(error)))
        return None
    ruling, outcome = shown(system, question, proofs, limits)
    if ruling.sound and not read.head.says(outcome):
        ruling = wrong("it shows something, but not the verdict that stands in it")
    return Rechecked(read.head, file, system, ruling)


def _text(path: Path, collector: Collector) -> Source | None:
    """Read a file that should be a certificate; what is wrong with it is told."""
    try:
        if path.exists() and not path.is_file():
            collector.add(no_file(path, "it is no file"))
            return None
        with path.open("rb") as file:
            data = file.read(LARGEST + 1)
        text = data.decode("utf-8")
    except OSError as error:
        collector.add(no_file(path, str(error.strerror or "it cannot be opened").lower()))
        return None
    except ValueError:
        collector.add(wording.no_certificate(path, "it is no UTF-8 text"))
        return None
    if len(data) > LARGEST:
        collector.add(wording.no_certificate(path, f"it has more than {LARGEST >> 20} MiB"))
        return None
    if text.partition("\n")[0].rstrip() != FIRST:
        collector.add(wording.no_certificate(path, f"its first line is not `{FIRST}`"))
        return None
    return Source(str(path), text)


def _asked_of(
    head: Head, path: Path, file: Path, collector: Collector
) -> tuple[System, Question] | None:
    """Return the system and the question of a certificate, if they are still the same."""
    design = _design(head, file, collector)
    if collector.failed:
        return None
    change = f"the file has no design `{head.design}` now"
    if design is not None:
        system = lower(design)
        question = next((one for one in system.questions if one.name == head.claim), None)
        change = _change(head, system, question)
        if question is not None and not change:
            return system, question
    collector.add(wording.stale(path, head.claim, file, change))
    return None


def _change(head: Head, system: System, question: Question | None) -> str:
    """Return what is no longer as it was; "" if all is."""
    if question is None:
        return "the design has no such claim now"
    if system.design.tick_ns != head.tick_ns:
        return "the tick is another one now"
    if question.claim.written != head.written:
        return f"the claim reads `{question.claim.written}` now"
    return "" if digest(system) == head.system else "the design means something else now"


def _design(head: Head, file: Path, collector: Collector) -> Design | None:
    """Return the design of a name, with the settings of the certificate."""
    unit = files.load(file, collector)
    if unit is None:
        return None
    wishes = Wishes(dict(head.settings))
    block = next((one for one in designs_in(unit) if one.name.text == head.design), None)
    return None if block is None else resolve(block, unit, collector, wishes)
