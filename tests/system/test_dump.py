"""The text of a system reads back, and is the same each time."""

import os
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.repo.tree import ROOT
from tests.system.bank import everything
from verifier.system.dump import UnreadableError, digest, dump, dump_node, read, read_node
from verifier.system.expr import Node, Op, Pool
from verifier.system.lower import lower

SYSTEM = lower(everything())
TEXT = dump(SYSTEM)


def test_the_text_reads_back() -> None:
    back = read(TEXT, SYSTEM.design)
    assert dump(back) == TEXT
    assert back.choices == SYSTEM.choices
    assert [one.name for one in back.registers] == [one.name for one in SYSTEM.registers]
    assert [one.claim for one in back.questions] == [one.claim for one in SYSTEM.questions]
    assert [one.limit for one in back.questions] == [one.limit for one in SYSTEM.questions]


def test_every_kind_of_line_is_in_the_text() -> None:
    words = {line.split()[0] for line in TEXT.splitlines()}
    assert words == {
        "system",
        "choice",
        "node",
        "register",
        "clock",
        "allowed",
        "domain",
        "question",
        "shown",
        "end",
    }
    assert {"turned", "load"} <= set(TEXT.split())


def test_another_process_gives_the_same_hash() -> None:
    code = (
        "from tests.system.bank import everything; from verifier.system.lower import lower;"
        "from verifier.system.dump import digest; print(digest(lower(everything())))"
    )
    seen = {
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout.strip()
        for seed in ("1", "2")
    }
    assert seen == {digest(SYSTEM)}


@pytest.mark.parametrize("line", range(0, len(TEXT.splitlines()), 7))
def test_a_text_that_is_cut_is_refused(line: int) -> None:
    with pytest.raises(UnreadableError):
        read("\n".join(TEXT.splitlines()[:line]), SYSTEM.design)


@pytest.mark.parametrize(
    "wrong", ["node and 3 99999", "node vote 1", "register kept 1", 'clock kept 0 1 "x" load 1']
)
def test_a_line_that_is_wrong_is_named(wrong: str) -> None:
    with pytest.raises(UnreadableError, match="line 1 "):
        read(wrong, SYSTEM.design)


POOL = Pool()
leaves: st.SearchStrategy[Node] = st.one_of(
    st.builds(POOL.register, st.integers(0, 5)),
    st.builds(POOL.above, st.integers(0, 3), st.integers(0, 9)),
    st.builds(POOL.gap, st.integers(0, 3), st.integers(0, 3), st.integers(-5, 5)),
    st.builds(POOL.pick, st.integers(0, 2), st.integers(0, 3)),
    st.sampled_from([POOL.no, POOL.yes]),
)
nodes: st.SearchStrategy[Node] = st.recursive(
    leaves,
    lambda inner: st.one_of(
        st.builds(POOL.not_, inner),
        st.builds(POOL.and_, inner, inner, inner),
        st.builds(POOL.or_, inner, inner),
        st.builds(POOL.if_, inner, inner, inner),
    ),
    max_leaves=12,
)


@given(nodes)
def test_an_expression_reads_back_to_itself(node: Node) -> None:
    assert read_node(POOL, dump_node(POOL, node)) is node


@given(nodes)
def test_an_expression_reads_back_elsewhere(node: Node) -> None:
    text = dump_node(POOL, node)
    elsewhere = Pool()
    assert dump_node(elsewhere, read_node(elsewhere, text)) == text


def test_a_text_keeps_what_the_pool_would_simplify() -> None:
    pool = Pool()
    bit = pool.register(0)
    odd = pool.exactly(Op.AND, (bit, pool.exactly(Op.NOT, (bit,))))
    assert read_node(pool, dump_node(pool, odd)) is odd
