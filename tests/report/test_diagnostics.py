"""Diagnostics: placed exactly, readable, and harmless whatever is in a file."""

import io
import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from tests.report.golden import compare
from tests.report.make import paper
from verifier.report.diagnostics import MOST_TOLD, write_diagnostics
from verifier.report.letters import width
from verifier.report.look import PLAIN, board
from verifier.source.diagnostic import Diagnostic, Label, Severity
from verifier.source.text import Source, Span

TEXT = (
    """\
# The butterfly house
design vestibule {
  feed.way[1] -> open_out -> outer
\tspare    -> outer.feed   # a wire too many, 蝶 here \x1b[31m red
  """
    + "a and " * 40
    + "not oter.ajar"
    + " or b" * 40
    + "\n  gate : dor(3)\n}\n"
)
SOURCE = Source("garden/vestibule.latch", TEXT)
OTHER = Source("kinds/doors.latch", "kind door {\n}\n")


def at(text: str, source: Source = SOURCE) -> Span:
    start = source.text.index(text)
    return Span(source, start, start + len(text))


FOUND = (
    Diagnostic(
        "two-wires",
        "a second wire runs into `outer.feed`",
        at("outer.feed"),
        "this wire is the second",
        (Label(at("outer"), "the first one comes from `open_out`"),),
        ("An input takes one wire: two could bring different values at the same moment.", "Why."),
        "join the two with a `busbar`, or feed the second with a part of its own",
    ),
    Diagnostic(
        "unknown-name",
        "there is no part `oter`",
        at("oter"),
        "not known here",
        mend="write `outer`",
    ),
    Diagnostic(
        "unknown-kind",
        "there is no kind `dor`",
        at("dor"),
        "no kind bears this name, and these words are so long that they do not fit beside the mark",
        (Label(at("door", OTHER), "this one is near"),),
    ),
    Diagnostic("unwired", "`feed` gets no power", at("feed"), severity=Severity.WARNING),
    Diagnostic("unreadable-file", "can't read `evil\u202e\x1b]0;x\x07.latch`", None),
)


def written(found: tuple[Diagnostic, ...], columns: int = 80, *, ascii_only: bool = False) -> str:
    sheet, stream = paper(columns, PLAIN if ascii_only else None)
    write_diagnostics(sheet, found)
    return stream.getvalue()


def test_layout() -> None:
    compare("diagnostics", written(FOUND))


def test_layout_in_plain_letters_on_a_narrow_terminal() -> None:
    text = written(FOUND, 50, ascii_only=True)
    compare("diagnostics-plain", text)


def test_nothing_is_printed_for_nothing() -> None:
    assert written(()) == ""


def test_no_colour_where_nobody_sees_it() -> None:
    assert "\x1b" not in written(FOUND)
    stream = io.StringIO()
    write_diagnostics(board(stream), FOUND)
    assert "\x1b" not in stream.getvalue()


LINE = st.text(st.characters(exclude_characters="\n\r"), min_size=1, max_size=150)


@given(st.data(), LINE, st.integers(40, 100))
def test_the_mark_stands_under_the_place(data: st.DataObject, line: str, columns: int) -> None:
    start = data.draw(st.integers(0, len(line) - 1))
    end = data.draw(st.integers(start + 1, len(line)))
    source = Source("a.latch", f"first\n{line}\nlast")
    span = Span(source, 6 + start, 6 + end)
    text = written((Diagnostic("twice", "twice", span),), columns, ascii_only=True)
    assert all(unicodedata.category(one) not in ("Cf", "Cs", "Cc") or one == "\n" for one in text)
    shown_line, mark = text.split("\n")[3:5]
    assert width(shown_line) <= columns
    assert width(mark) <= columns
    left = len(mark) - len(mark.lstrip())
    assert mark.strip() in ("^", "^" + "-" * (len(mark.strip()) - 2) + "^")
    first = line[start]
    if first.isascii() and first.isalnum():
        assert at_column(shown_line, left) == first


def at_column(line: str, column: int) -> str:
    at_ = 0
    for one in line:
        if at_ == column and width(one):
            return one
        at_ += width(one)
    return ""


def test_of_very_many_errors_come_before_warnings() -> None:
    where = at("dor")
    warning = Diagnostic("unused", "never used", where, severity=Severity.WARNING)
    found = [warning] * 3 + [Diagnostic("unknown-kind", "no kind", where)] * MOST_TOLD
    sheet, stream = paper()
    write_diagnostics(sheet, [warning, *found])
    text = stream.getvalue()
    assert text.count("× no kind") == MOST_TOLD
    assert "never used" not in text


def test_of_a_very_long_line_the_place_meant_is_shown() -> None:
    text = f"design d {{ {'a ' * 40_000}oter{' b' * 40_000} }}"
    wide = Source("wide.latch", text)
    sheet, stream = paper(60)
    write_diagnostics(sheet, [Diagnostic("unknown-name", "there is no `oter`", at("oter", wide))])
    lines = stream.getvalue().splitlines()
    assert max(map(len, lines)) <= 60
    shown = next(line for line in lines if "oter" in line and line.startswith("  1"))
    mark = next(line for line in lines if "├" in line)
    assert shown.index("oter") == mark.index("├")


def test_a_mark_in_the_end_of_a_line_that_does_not_fit() -> None:
    # A line may end in several letters that are not shown; an error may lie between them.
    text = "x" * 200 + "\r\r"
    source = Source("garden.latch", text)
    found = Diagnostic("unreadable", "something is wrong", Span(source, len(text) - 1, len(text)))
    _, _, _, line, mark, *_ = written((found,), 40).splitlines()
    assert line.endswith("x" * 20)
    assert width(line) == width(mark) == 40
