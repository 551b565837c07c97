"""The grammar alone: no conflict, and the words that it takes."""

import logging

import lark
import pytest
from lark.lexer import PatternStr

from verifier.source.shipped import shipped_text
from verifier.syntax.words import OTHER, TAKEN

TEXT = shipped_text("design.lark")


def conflicts(text: str, caplog: pytest.LogCaptureFixture) -> list[str]:
    """Return what lark, with reporting on, tells of conflicts that it resolves."""
    caplog.set_level(logging.DEBUG, logger=lark.logger.name)
    caplog.clear()
    lark.Lark(text, parser="lalr", start="file", debug=True)
    return [one.getMessage() for one in caplog.records if "onflict" in one.getMessage()]


def test_no_conflict_is_resolved_in_silence(caplog: pytest.LogCaptureFixture) -> None:
    assert conflicts(TEXT, caplog) == []


def test_a_conflict_would_be_seen(caplog: pytest.LogCaptureFixture) -> None:
    broken = TEXT.replace('choose: condition "when"', 'choose: expression "when"')
    assert broken != TEXT
    assert conflicts(broken, caplog)


@pytest.fixture(scope="module")
def grammar() -> lark.Lark:
    return lark.Lark(TEXT, parser="lalr", start="file", lexer="contextual")


def single(terminal: lark.lexer.TerminalDef) -> str | None:
    """Return the single word that a terminal is, if it is one."""
    word = terminal.pattern.value if isinstance(terminal.pattern, PatternStr) else ""
    if terminal.name == "IS":
        word = "is"
    return word if word.isalpha() else None


def test_words_are_taken_just_where_a_name_could_stand_too(grammar: lark.Lark) -> None:
    """A word is taken if some place takes both it and a name; there they could be confused."""
    singles = {one.name: single(one) for one in grammar.terminals}
    table = grammar.parser.parser._parse_table  # noqa: SLF001 - there is no other way to it
    needed = {
        singles[name]
        for actions in table.states.values()
        if "NAME" in actions
        for name in actions
        if singles.get(name)
    }
    assert set(TAKEN) == needed


def test_other_words_are_those_of_the_grammar(grammar: lark.Lark) -> None:
    singles = {single(one) for one in grammar.terminals} - {None} - set(TAKEN)
    many = {
        one.name.lower().replace("_", " ")
        for one in grammar.terminals
        if not isinstance(one.pattern, PatternStr)
        and "[ \t]+" in one.pattern.value
        and one.name.isupper()
        and one.name not in {"IS", "TIME"}
    }
    units = {"ms", "s", "min", "h", "ticks"}
    assert set(OTHER) == singles | many | units


@pytest.mark.parametrize("meaning", [*TAKEN.values(), *OTHER.values()])
def test_meanings_are_one_line(meaning: str) -> None:
    assert len(meaning) <= 90
    assert meaning[-1] != "."
