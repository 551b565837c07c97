"""Which mistake it is: from the place where reading stopped to the message that fits best."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from verifier.source.diagnostic import Diagnostic
from verifier.source.text import Source, Span
from verifier.syntax import mistakes
from verifier.syntax.repair import STATEMENT
from verifier.syntax.words import OTHER, TAKEN

_SIGNS = "=<>!&|/*;:-"
_SIGN_RUN = re.compile(rf"[{_SIGNS}]+")
_CLOSED = re.compile(r'"(?:[^"\\\r\n]|\\.)*"')
_ESCAPE = re.compile(r"\\.?")
_DECIMAL = re.compile(r"([0-9]*)\.([0-9]+)(?:[ \t]*(ms|s|min|h)\b)?")
_TIME = re.compile(r"[0-9]+[ \t]*(?:ms|s|min|h|ticks?)\b")
_NUMBER = re.compile(r"[0-9]+")
_KNOWN = re.compile(r'[\w\s{}()\[\].,:=<>!+*%"#-]', re.ASCII)
_BESIDE = re.compile(r"[ \t]*([A-Za-z]+)")
_DASHED = re.compile(r"(?:-\w+)+")
_ASKING = re.compile(r"\b(?:claim|assume|let|when)\b")
_AS_A_NAME = re.compile(r":[ \t]*[A-Za-z_]\w*[ \t]*(?:\(|\r?$)|->|\[|\.[A-Za-z_]", re.MULTILINE)


@cache
def _found() -> re.Pattern[str]:
    """Return what finds one word, number, text or sign."""
    many = "|".join(
        one.replace(" ", r"[ \t]+") for one in sorted(OTHER, reverse=True) if " " in one
    )
    return re.compile(
        rf"(?:{many})\b|[A-Za-z_]\w*|[0-9]\w*|\"(?:[^\"\\\r\n]|\\.)*\"|<->|->|\.\.|[<>!]=|.",
        re.DOTALL,
    )


@dataclass(frozen=True, slots=True)
class Misfit:
    """What is known where reading stopped.

    `wanted` are the terminals that could stand there, `before` the words read last, latest first,
    `opened` the last bracket still open, `outside` whether no block is open.
    """

    source: Source
    at: int
    wanted: frozenset[str]
    before: tuple[Span, ...]
    opened: Span | None
    outside: bool

    @property
    def place(self) -> Span:
        """The word, number, text or sign that does not fit; empty at the end of the file."""
        found = _found().match(self.source.text, self.at)
        if found is None:
            end = self.before[0].end if self.before else 0
            return Span(self.source, end, end)
        return Span(self.source, found.start(), found.end())

    def before_text(self, back: int) -> str:
        """The text of one of the words read last, 0 the latest; empty where there is none."""
        return self.before[back].text if back < len(self.before) else ""


def explain(misfit: Misfit) -> Diagnostic:
    """Choose the message for a place where reading stopped."""
    for rule in _RULES:
        found = rule(misfit)
        if found is not None:
            return found
    return mistakes.unreadable(misfit.place, misfit.wanted, _meant(misfit))


def _meant(misfit: Misfit) -> str | None:
    """Say what to write where a slip is plain from the words around it."""
    place, last = misfit.place.text, misfit.before_text(0)
    if place in _MEANT:
        return _MEANT[place]
    if place in ("unit", "units") and _NUMBER.fullmatch(last):
        return f"leave out `{place}`: an amount is a number alone"
    for word in (place, last):
        if word not in TAKEN and word.lower() in TAKEN:
            return f"write `{word.lower()}`: words of the language are in small letters"
    if place == ":" and last == "claim":
        return "give the claim a name: `claim NAME: ...`"
    if place == "-" and "SIGN" not in misfit.wanted and last.isidentifier():
        return _without_dash(misfit)
    names = place.isidentifier() and last.isidentifier() and place not in TAKEN
    return "put `,` between the names" if names and "COMMA" in misfit.wanted else None


_MEANT = {
    "implies": "claim `A only while B`, or write `not A or B`",
    "within": "`possible`, `eventually`, `returns` and `leads to` take a limit; for a stretch of "
    "time write `P lasts at most 3 s`, for a beginning `P no sooner than 3 s`",
}


def _without_dash(misfit: Misfit) -> str | None:
    rest = _DASHED.match(misfit.source.text, misfit.at)
    if rest is None or misfit.before[0].end != misfit.at:
        return None
    name = f"{misfit.before_text(0)}{rest.group()}".replace("-", "_")
    return f"write `{name}`: no name has a `-`"


def _text(misfit: Misfit) -> Diagnostic | None:
    text, at = misfit.source.text, misfit.at
    if not text.startswith('"', at):
        return None
    closed = _CLOSED.match(text, at)
    if closed is None:
        end = text.find("\n", at)
        return mistakes.open_text(Span(misfit.source, at, len(text) if end < 0 else end))
    for escape in _ESCAPE.finditer(text, at, closed.end()):
        if escape.group() not in ('\\"', "\\\\"):
            return mistakes.bad_escape(Span(misfit.source, escape.start(), escape.end()))
    return None


def _decimal(misfit: Misfit) -> Diagnostic | None:
    start = misfit.at
    if misfit.before and misfit.before[0].end == start and _NUMBER.fullmatch(misfit.before_text(0)):
        start = misfit.before[0].start
    found = _DECIMAL.match(misfit.source.text, start)
    if found is None:
        return None
    place = Span(misfit.source, found.start(), found.end())
    return mistakes.whole_number(place, found[1], found[2], found[3] or "")


def _glued(misfit: Misfit) -> Diagnostic | None:
    place = misfit.place
    digits = _NUMBER.match(place.text)
    if digits is None or digits.end() == len(place.text):
        return None
    rest = Span(misfit.source, place.start + digits.end(), place.end)
    return mistakes.unit_unknown(rest, digits.group()) or mistakes.name_after_digit(place)


def _unit(misfit: Misfit) -> Diagnostic | None:
    """A unit under another name; in the place of a time, the number is what was not expected."""
    number, word = misfit.before_text(0), misfit.place
    if misfit.wanted == {"TIME"}:
        number = misfit.place.text
        beside = _BESIDE.match(misfit.source.text, misfit.place.end)
        if beside is not None:
            word = Span(misfit.source, beside.start(1), beside.end(1))
    return mistakes.unit_unknown(word, number) if _NUMBER.fullmatch(number) else None


def _unit_missing(misfit: Misfit) -> Diagnostic | None:
    if misfit.wanted == {"TIME"} and _NUMBER.fullmatch(misfit.place.text):
        return mistakes.unit_missing(misfit.place)
    return None


def _two_times(misfit: Misfit) -> Diagnostic | None:
    found = _TIME.match(misfit.source.text, misfit.at)
    if found is None or not _TIME.fullmatch(misfit.before_text(0)):
        return None
    return mistakes.times_in_a_row(Span(misfit.source, misfit.before[0].start, found.end()))


def _sign(misfit: Misfit) -> Diagnostic | None:
    """A sign of other notations; its first letters may have been read already."""
    text = misfit.source.text
    start = misfit.at
    if text[start : start + 1] in _SIGNS:
        start = len(text[:start].rstrip(_SIGNS))
    run = _SIGN_RUN.match(text, start)
    if run is not None:
        found = mistakes.wrong_sign(Span(misfit.source, run.start(), run.end()))
        if found is not None:
            return found
    place = misfit.place
    if place.text == "-" and "NUMBER" in misfit.wanted:
        return mistakes.sign_of_number(place)
    return mistakes.wrong_sign(place)


def _if(misfit: Misfit) -> Diagnostic | None:
    for word in (misfit.place, *misfit.before[:2]):
        if word.text == "if":
            return mistakes.no_if(word)
    return None


def _word_before(misfit: Misfit) -> Diagnostic | None:
    """A statement that begins like `tick : button`."""
    if misfit.before_text(0) in TAKEN and _AS_A_NAME.match(misfit.source.text, misfit.at):
        return mistakes.word_as_name(misfit.before[0])
    return None


def _left_open(misfit: Misfit) -> Diagnostic | None:
    brace = misfit.opened is not None and misfit.opened.text == "{"
    if not misfit.place.text and brace:
        return mistakes.block_left_open(misfit.place, misfit.opened)
    if misfit.place.text in ("design", "kind") and not misfit.outside:
        return mistakes.block_left_open(misfit.place, misfit.opened)
    return None


def _use(misfit: Misfit) -> Diagnostic | None:
    """`use "..."` after the head of the file; in a block, `use` is read as a name first."""
    if misfit.outside and misfit.place.text == "use" and "KIND" in misfit.wanted:
        return mistakes.late_use(misfit.place)
    if misfit.before_text(0) == "use" and "TEXT" not in misfit.wanted:
        return mistakes.late_use(misfit.before[0]) if misfit.place.text[:1] == '"' else None
    return None


def _outside(misfit: Misfit) -> Diagnostic | None:
    if not misfit.outside or "KIND" not in misfit.wanted:
        return None
    if misfit.place.text == "}":
        return mistakes.too_many_closed(misfit.place)
    return mistakes.outside(misfit.place) if misfit.place.text.isidentifier() else None


def _bracket(misfit: Misfit) -> Diagnostic | None:
    """A new line begins something, and a bracket above is still open."""
    if misfit.opened is None or not misfit.wanted & {"RPAR", "RSQB"}:
        return None
    if "\n" in misfit.source.text[misfit.before[0].end : misfit.at]:
        return mistakes.bracket_left_open(misfit.opened, misfit.place)
    return None


def _in(misfit: Misfit) -> Diagnostic | None:
    """`guest in cell`, `leads to P in 3 s`: `in` was read as the beginning of a port."""
    words = misfit.before
    if misfit.before_text(0) == "in" and _is_asked(words[0]):
        return mistakes.in_for_within(words[0]) if _NUMBER.match(misfit.place.text) else None
    if misfit.before_text(1) == "in" and _is_asked(words[1]):
        return mistakes.in_for_is_in(words[1]) if "COLON" in misfit.wanted else None
    return None


def _is_asked(word: Span) -> bool:
    """Whether a word stands on the line of something that takes a condition, within one block."""
    text = word.source.text
    line = text[text.rfind("\n", 0, word.start) + 1 : word.start]
    return "{" not in line and _ASKING.search(line) is not None


def _missing(misfit: Misfit) -> Diagnostic | None:
    """A new line begins something, and the line above is unfinished."""
    text, place = misfit.source.text, misfit.place
    begins = place.text == "}" or STATEMENT.match(text, place.start)
    if not begins or not misfit.before or "\n" not in text[misfit.before[0].end : place.start]:
        return None
    return mistakes.missing(misfit.before[0], misfit.wanted)


def _list(misfit: Misfit) -> Diagnostic | None:
    if misfit.place.text == "," and any(one.text.endswith("of") for one in misfit.before):
        return mistakes.list_without_brackets(misfit.place)
    return None


def _within(misfit: Misfit) -> Diagnostic | None:
    """`only after P within D`."""
    if misfit.place.text == "within" and "EACH_WITHIN" in misfit.wanted:
        return mistakes.each_within(misfit.place)
    return None


def _stray(misfit: Misfit) -> Diagnostic | None:
    letter = misfit.source.text[misfit.at : misfit.at + 1]
    if letter and not _KNOWN.match(letter):
        return mistakes.stray_letter(Span(misfit.source, misfit.at, misfit.at + 1))
    return None


_RULES: tuple[Callable[[Misfit], Diagnostic | None], ...] = (
    _text,
    _decimal,
    _glued,
    _unit,
    _unit_missing,
    _two_times,
    _sign,
    _stray,
    _if,
    _left_open,
    _use,
    _outside,
    _bracket,
    _in,
    _missing,
    _list,
    _within,
    _word_before,
)
"""From the most particular to the most general."""
