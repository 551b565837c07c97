"""Certificates read back to what was written, and no text does more than be refused."""

from contextlib import suppress
from random import Random

import pytest

from tests.bank.plants import lucky
from tests.engines.zones.workshop import question
from verifier.verdict.answer import Verdict
from verifier.verdict.certificate import Head, certificate, proofs_text
from verifier.verdict.certificate_reader import UnreadableError, certificate_of, proofs_of
from verifier.verdict.evidence import (
    Act,
    Asked,
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
from verifier.verdict.trace import Lasso, State, Step, Trace

PLANT = lucky(4, 9, 9, None)
SYSTEM, POOL = PLANT.system, PLANT.system.pool
QUESTION = question(PLANT.target, POOL)
AT = State(
    tuple(n % 2 == 0 for n in range(len(SYSTEM.registers))), tuple(range(len(SYSTEM.clocks)))
)
REST = State((False,) * len(SYSTEM.registers), (0,) * len(SYSTEM.clocks))
RUN = Trace((Step((1,), (5,) * len(SYSTEM.clocks), 3), Step((0,), (0,) * len(SYSTEM.clocks), 1)))
LOOP = Lasso(RUN, 2)
NODE = POOL.or_(
    POOL.not_(POOL.above(0, 3)), POOL.and_(POOL.above(0, 3), POOL.gap(0, 1, -2), POOL.above(1, 0))
)
LIST = Explored({AT: 0, REST: 2}, {})
EVERY: tuple[Evidence, ...] = (
    Reaches(RUN),
    Reaches(Trace(RUN.steps, AT), onward=LOOP),
    Circles(LOOP),
    Closed(None, 4),
    Closed(99, 4),
    Invariant(NODE),
    Invariant(POOL.yes, 7),
    LIST,
    Explored({AT: 0}, {REST: 1}),
    Trapped(RUN, Invariant(NODE), LOOP),
    Trapped(RUN, LIST),
    Trapped(RUN, LIST, beyond=0),
    Trapped(RUN, Invariant(POOL.above(len(SYSTEM.clocks), 3)), LOOP, beyond=12),
    Guided((Act((1,), 3), Act((0,), 1)), 40, NODE),
    Patient(12, NODE),
    Certain(RUN, 9, NODE),
    Foiled(longest=True, node=NODE),
    Foiled(longest=False, node=NODE),
)
HEAD = Head(
    'a "garden".latch',
    "post",
    50_000_000,
    (("a", "1 s"),),
    "0" * 64,
    "c",
    "never x",
    Verdict.HOLDS,
    5,
)
TEXT = certificate(HEAD, proofs_text(SYSTEM, QUESTION, [Proof(Asked.BAD, one) for one in EVERY]))


@pytest.mark.parametrize("evidence", EVERY, ids=lambda one: type(one).__name__)
def test_evidence_reads_back(evidence: Evidence) -> None:
    proofs = (Proof(Asked.BAD, evidence),)
    assert proofs_of(proofs_text(SYSTEM, QUESTION, proofs), SYSTEM) == proofs


def test_a_certificate_reads_back() -> None:
    for text in (TEXT, TEXT.replace("\n", "  # why\r\n").replace("end  # why\r\n", "end\n")):
        read = certificate_of(text)
        assert read.head == HEAD
        assert [one.evidence for one in proofs_of(read.proofs, SYSTEM, read.above)] == list(EVERY)


def taken(text: str) -> bool:
    """Read a text; whatever it is, nothing but `UnreadableError` comes of it."""
    with suppress(UnreadableError):
        read = certificate_of(text)
        proofs_of(read.proofs, SYSTEM, read.above)
        return True
    return False


def test_a_text_that_is_cut_is_refused() -> None:
    lines = TEXT.splitlines(keepends=True)
    assert not any(taken("".join(lines[:count])) for count in range(len(lines)))


def test_damaged_texts_are_read_or_refused() -> None:
    rng = Random(1)
    words = [
        "-1",
        "9" * 15,
        "9" * 400,
        "1_0",
        "node",
        '"',
        "root",
        "#",
        "\0",
        "٣",
        "state",
        "proof",
    ]
    refused = 0
    for _ in range(1500):
        lines = [line.split(" ") for line in TEXT.split("\n")]
        for _ in range(rng.choice((1, 1, 3))):
            line = lines[rng.randrange(len(lines))]
            place = rng.randrange(len(line))
            line[place : place + rng.randrange(2)] = rng.choices(words, k=rng.randrange(2))
        refused += not taken("\n".join(" ".join(line) for line in lines))
    assert refused > 700


def test_nodes_that_stand_too_deep_in_each_other_are_refused() -> None:
    nodes = [f"node {n} not {n - 1}\n" for n in range(3, 5000)]
    text = f"proof bad invariant 1\nnode 2 register 0\n{''.join(nodes)}root 4999\n"
    with pytest.raises(UnreadableError, match="deep"):
        proofs_of(text, SYSTEM)


def test_the_line_that_is_wrong_is_named() -> None:
    lines = TEXT.splitlines()
    place = next(n for n, line in enumerate(lines) if line.startswith("root"))
    lines[place] = "root 99"
    read = certificate_of("\n".join([*lines, ""]))
    with pytest.raises(UnreadableError) as caught:
        proofs_of(read.proofs, SYSTEM, read.above)
    assert caught.value.line == place + 1
