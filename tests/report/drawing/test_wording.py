"""Terms in few words: every kind of term, and brackets where it would read as another without."""

import pytest

from tests.system.make import Bench
from verifier.design.model import (
    Above,
    Add,
    And,
    Compare,
    CondIf,
    Edge,
    Fixed,
    Fold,
    HowMany,
    Not,
    NumIf,
    Option,
    Or,
    Picked,
    PickIf,
    Read,
    ReadPick,
    Relation,
    Running,
    Scaled,
    Subtract,
    Term,
    Truth,
)
from verifier.report.clock import Clock
from verifier.report.drawing.wording import words

BENCH = Bench()
P, Q = BENCH.button("p"), BENCH.button("q")
N, M = Read(BENCH.free_number("n", 0, 9)), Read(BENCH.free_number("m", 0, 9))
MOOD = ReadPick(BENCH.free_choice("mood", ("calm", "cross")))
WAIT = BENCH.timer("wait")
CHOSEN = NumIf(P, N, M)


@pytest.mark.parametrize(
    ("term", "text"),
    [
        (Truth(value=True), "yes"),
        (Truth(value=False), "no"),
        (Fixed(3), "3"),
        (Option(1), "option 2"),
        (P, "p"),
        (N, "n"),
        (MOOD, "mood"),
        (Running(WAIT), "wait runs"),
        (Above(WAIT, 20), "wait > 2 s"),
        (Not(P), "not p"),
        (Edge(P, rising=True), "p starts"),
        (Edge(P, rising=False), "p ends"),
        (And((P, Or((Q, Not(P))))), "(p and (q or not p))"),
        (HowMany((P, Q)), "how many of p, q"),
        (Compare(Relation.LESS_EQUAL, N, Fixed(3)), "n <= 3"),
        (Picked(MOOD, 1), "mood is cross"),
        (Picked(PickIf(P, MOOD, Option(0)), 1), "(mood when p else option 1) is option 2"),
        (Add(Add(N, M), Fixed(1)), "n + m + 1"),
        (Subtract(Add(N, M), Fixed(1)), "n + m - 1"),
        (Subtract(N, Add(M, Fixed(1))), "n - (m + 1)"),
        (Subtract(N, Subtract(M, Fixed(1))), "n - (m - 1)"),
        (Add(N, Subtract(M, Fixed(1))), "n + m - 1"),
        (Scaled(Fold.TIMES, Add(N, M), 2), "(n + m) * 2"),
        (Scaled(Fold.DIV, N, 2), "n div 2"),
        (CHOSEN, "n when p else m"),
        (Add(CHOSEN, Fixed(1)), "(n when p else m) + 1"),
        (Compare(Relation.EQUAL, CHOSEN, N), "(n when p else m) = n"),
        (NumIf(Q, CHOSEN, Fixed(0)), "(n when p else m) when q else 0"),
        (Not(CondIf(P, Q, P)), "not (q when p else p)"),
        (Or((P, CondIf(P, Q, P))), "(p or (q when p else p))"),
    ],
)
def test_a_term_reads_so(term: Term, text: str) -> None:
    assert words(term, Clock(100_000_000)) == text
