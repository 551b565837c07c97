"""What is written reads as what it was, and tidying loses nothing."""

import re
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.repo.tree import ROOT
from tests.strategies.syntax import SPAN, bare_sentences, files, one_statement, scoped
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.syntax import tree
from verifier.syntax.parse import parse
from verifier.syntax.tidy import tidy
from verifier.syntax.write import write

TEXTS = sorted(
    [
        *ROOT.glob("designs/**/*.latch"),
        *ROOT.glob("grammar/*.latch"),
        Path(__file__).with_name("sample.latch"),
    ]
)
# A whole file is long; hypothesis need not worry.
pytestmark = pytest.mark.filterwarnings("ignore:Generating overly large repr")
REMARKS = ["", "# one", "#", "#  two # three ", '# "open', "# { }"]


def read(text: str) -> tree.File:
    collector = Collector()
    found = parse(Source("x.latch", text), collector)
    assert found is not None, (collector.found, text)
    assert not collector.found
    return found


def tidied(text: str) -> str:
    found = tidy(Source("x.latch", text), Collector())
    assert found is not None, text
    return found


def comments(text: str) -> Counter[str]:
    marks = re.findall(r'"(?:[^"\\\n]|\\.)*"|#[^\n]*', text)
    return Counter(one.rstrip() for one in marks if one[0] == "#")


@given(files | one_statement)
def test_a_written_tree_reads_as_itself(file: tree.File) -> None:
    text = write(file)
    assert read(text) == file
    assert write(read(text)) == text


@given(bare_sentences | scoped(bare_sentences))
def test_a_written_sentence_reads_as_itself(sentence: tree.Sentence) -> None:
    name = tree.Declared("c", span=SPAN)
    claim = tree.Claim(name, None, sentence, span=SPAN)
    block = tree.Block(tree.Word("d", span=SPAN), (), None, (claim,), is_design=True, span=SPAN)
    file = tree.File((), (block,), span=SPAN)
    assert read(write(file)) == file
    assert read(tidied(write(file))) == file


@given(files | one_statement, st.data())
def test_tidying_keeps_comments_and_meaning(file: tree.File, data: st.DataObject) -> None:
    """Remarks and blank lines are put wherever a line may end."""
    remarks = st.sampled_from(REMARKS)
    text = ""
    for line in write(file).splitlines():
        text += f"{line} {data.draw(remarks)}\n" + data.draw(st.sampled_from(["", "\n", "\n\n\n"]))
    found = tidied(text)
    assert read(found) == file
    assert comments(found) == comments(text)
    assert tidied(found) == found
    assert "\n\n\n" not in found


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.name)
def test_texts_of_the_repository(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    found = tidied(text)
    assert read(found) == read(text)
    assert comments(found) == comments(text)
    assert tidied(found) == found


def test_a_text_without_line_ends_is_set_in_lines() -> None:
    text = "design d { a : lamp bb : lamp # two\n}"
    assert tidied(text) == "design d {\n  a  : lamp\n  bb : lamp  # two\n}\n"


def test_a_comment_inside_a_statement_goes_before_it() -> None:
    text = "design d {\n  rooms a, # first\n    b # second\n}\n"
    assert tidied(text) == "design d {\n  # first\n  rooms a, b  # second\n}\n"


def test_a_broken_text_is_told_and_not_written() -> None:
    collector = Collector()
    assert tidy(Source("x.latch", "design {"), collector) is None
    assert collector.failed


def test_spans_do_not_count_in_trees_and_hold_the_text() -> None:
    file = read("design d {\n  let  x = a and b # c\n}\n")
    (statement,) = file.blocks[0].body
    assert statement.span.text == "let  x = a and b"
    assert file == read("design d { let x = a and b }")


def test_nothing_is_written_for_nothing() -> None:
    assert tidied("") == ""
    assert tidied("\n\n# alone\n\n\n# again") == "# alone\n\n# again\n"
