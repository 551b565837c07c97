"""What is said about a text that can't be read: from facts to diagnostics, and nothing else."""

import re
import unicodedata
from pathlib import Path

from verifier.source.diagnostic import Diagnostic, Label
from verifier.source.nearest import nearest
from verifier.source.text import Span
from verifier.syntax.wanted import STATEMENTS, could_stand

LONGEST_NUMBER = 18
LONGEST_NAME = 200
LARGEST_FILE = 1 << 20

UNITS = ("ms", "s", "min", "h", "ticks")
_UNIT_SIZES = {"ms": 1, "s": 1_000, "min": 60_000, "h": 3_600_000}
_OTHER_UNITS = {
    "ms": ("msec", "msecs", "millis", "millisecond", "milliseconds"),
    "s": ("sec", "secs", "second", "seconds"),
    "min": ("m", "mins", "minute", "minutes"),
    "h": ("hr", "hrs", "hour", "hours"),
}
_UNIT_MEANT = {other: unit for unit, others in _OTHER_UNITS.items() for other in others}

_SIGNS_MEANT = {
    "==": "`=` compares here, and names in `let` and `setting`",
    "===": "`=` compares here",
    ":=": "write `let x = ...` to name something, `x becomes ...` for kept state",
    "&&": "write `and`",
    "&": "write `and`",
    "||": "write `or`",
    "|": "write `or`",
    "!": "write `not`",
    "~": "write `not`",
    "^": "write `x != y`, or place an `xor_gate`",
    "<>": "write `!=`",
    "=<": "write `<=`",
    "=>": "write `->` for a wire, `leads to` in a claim, `>=` to compare",
    "<-": "a wire runs from left to right: write `from -> to`",
    "--": "a comment begins with `#`",
    "//": "a comment begins with `#`",
    "/*": "a comment begins with `#` and ends with its line",
    "/": "write `div`, which rounds down",
    ";": "leave it out: a statement ends where the next one begins",
    "'": 'a text stands in `"`',
    "`": 'a text stands in `"`',
    "@": "leave it out",
    "$": "leave it out",
    "?": "write `A when C else B`",
    "→": "write `->`",
    "↔": "write `<->`",
    "≤": "write `<=`",
    "≥": "write `>=`",
    "≠": "write `!=`",
    "×": "write `*`",
    "·": "write `*`",
    "÷": "write `div`",
    "−": "write `-`",
    "–": "write `-`, or `..` for a range",
    "…": "write `..`",
    "“": 'write `"`',
    "”": 'write `"`',
    "„": 'write `"`',
    "¬": "write `not`",
    "∧": "write `and`",
    "∨": "write `or`",
}


def shown(text: str) -> str:
    """Show a letter by its number where it would not show by itself."""
    return "".join(one if one.isprintable() else f"U+{ord(one):04X}" for one in text)


# --- the general case ----------------------------------------------------------------------------


def unreadable(place: Span, wanted: frozenset[str], mend: str | None = None) -> Diagnostic:
    """Something stands where nothing of its sort can; `mend` where it is known what was meant."""
    if place.text:
        headline = f"`{shown(place.text)}` can't stand here"
    else:
        headline = "the file ends too early"
    if "NAME" in wanted and place.text.isidentifier():
        # A name could stand here, as the first of a statement, but what follows says that it isn't.
        wanted -= STATEMENTS
    words = f"here could stand {could_stand(wanted)}" if wanted else ""
    mend = mend or _mend(place.text, wanted)
    if not (words or mend):
        mend = "leave it out, or put before it what it belongs to"
    return Diagnostic("unreadable", headline, place, words, mend=mend)


def scope_behind(place: Span) -> Diagnostic:
    """A scope after what is claimed."""
    word = place.text
    mend = f"put the scope first: `{word} P: always Q`"
    if word == "from":
        mend = "put the scope first: `from P until R: always Q`"
    return Diagnostic("unreadable", f"`{word}` can't stand behind a sentence", place, mend=mend)


def in_for_is_in(place: Span) -> Diagnostic:
    """`guest in cell`."""
    headline = "`in` begins a port, and none can stand here"
    return Diagnostic("unreadable", headline, place, mend="write `is in`: `guest is in cell`")


def in_for_within(place: Span) -> Diagnostic:
    """`leads to P in 3 s`."""
    headline = "`in` begins a port, and none can stand here"
    return Diagnostic("unreadable", headline, place, mend="write `within`: `leads to P within 3 s`")


def missing(last: Span, wanted: frozenset[str]) -> Diagnostic:
    """A statement ends too early, after `last`."""
    return Diagnostic(
        "unreadable",
        f"something is missing after `{shown(last.text)}`",
        last,
        f"then could stand {could_stand(wanted)}",
        mend=_mend("", wanted),
    )


def _mend(found: str, wanted: frozenset[str]) -> str | None:
    if "LEADS_TO" in wanted:
        return "say what is claimed: `always P`, `never P`, `possible P`, `P lasts at most 3 s` ..."
    if found == "=" and "BECOMES" in wanted:
        return "write `let x = ...` to name something, `x becomes ...` or `x when ...` to drive it"
    return None


def bracket_left_open(opened: Span, place: Span) -> Diagnostic:
    """A bracket is still open where something else begins."""
    closing = ")" if opened.text == "(" else "]"
    return Diagnostic(
        "unreadable",
        f"`{opened.text}` is not closed",
        opened,
        labels=(Label(place, "something else begins here"),),
        mend=f"put `{closing}` where it ends",
    )


def each_within(place: Span) -> Diagnostic:
    """A limit on the first step of `only after`, under the wrong word."""
    return Diagnostic(
        "unreadable",
        "the limit of `only after` needs another word",
        place,
        notes=("A single step is limited by `then R within 3 s`, all of them by `each within`.",),
        mend="write `each within`",
    )


def wrong_sign(place: Span) -> Diagnostic | None:
    """A sign of other notations, with what to write here; None if it is none that we know."""
    mend = _SIGNS_MEANT.get(place.text)
    if mend is None:
        return None
    code = "unreadable" if place.text.isascii() else "stray-letter"
    return Diagnostic(code, f"`{place.text}` is no sign of the language", place, mend=mend)


def sign_of_number(place: Span) -> Diagnostic:
    """A minus before an amount."""
    return Diagnostic(
        "unreadable",
        "numbers have no sign",
        place,
        "nothing stands before it",
        notes=("Amounts, counts and times are never below zero.",),
        mend="subtract from something: `a - b`",
    )


def no_if(place: Span) -> Diagnostic:
    """`if`, as in other languages."""
    return Diagnostic(
        "unreadable",
        "`if` is no word of the language",
        place,
        mend="write `A when C else B` for a value, `PART.port when C` to drive an input, "
        "`X becomes A when C` for kept state",
    )


def name_after_digit(place: Span) -> Diagnostic:
    """Letters glued to a number."""
    return Diagnostic(
        "unreadable",
        f"`{place.text}` is neither a number nor a name",
        place,
        "a name begins with a letter",
        mend="units of time are `ms`, `s`, `min`, `h` and `ticks`",
    )


def block_left_open(place: Span, opened: Span | None) -> Diagnostic:
    """A block begins, or the file ends, inside another block."""
    labels = (Label(opened, "opened here"),) if opened is not None else ()
    return Diagnostic(
        "unreadable",
        "a block is left open",
        place,
        "a `}` is missing before this",
        labels=labels,
        mend="close the block with `}`; blocks can't stand inside each other",
    )


def too_many_closed(place: Span) -> Diagnostic:
    """A closing brace with nothing to close."""
    return Diagnostic(
        "unreadable",
        "`}` closes nothing",
        place,
        notes=("All blocks before it are closed already.",),
        mend="leave it out, or look for a `}` too many further up",
    )


def outside(place: Span) -> Diagnostic:
    """A statement that stands in no block."""
    meant = nearest(place.text, ("design", "kind", "use"))
    mend = f"write `{meant}`" if meant else "put it between the braces of `design NAME { ... }`"
    return Diagnostic(
        "unreadable",
        f"`{place.text}` stands outside of any design",
        place,
        "here could stand `design` or `kind`",
        mend=mend,
    )


def late_use(place: Span) -> Diagnostic:
    """A `use` after the first block."""
    return Diagnostic(
        "unreadable",
        "`use` comes too late",
        place,
        mend="put it at the top of the file",
    )


def list_without_brackets(place: Span) -> Diagnostic:
    """`any of a, b`."""
    return Diagnostic(
        "unreadable",
        "a list of several stands in brackets",
        place,
        mend="write `of (a, b)`",
    )


def bad_escape(place: Span) -> Diagnostic:
    """A backslash in a text before a letter that needs none."""
    return Diagnostic(
        "unreadable",
        f"`{shown(place.text)}` means nothing in a text",
        place,
        notes=('In a text only `\\"` and `\\\\` begin with a backslash.',),
        mend="write `\\\\` for a backslash itself",
    )


# --- cases with a code of their own --------------------------------------------------------------


def word_as_name(place: Span) -> Diagnostic:
    """A word of the language where a name belongs."""
    return Diagnostic(
        "word-as-name",
        f"`{place.text}` is a word of the language and can't be a name",
        place,
        mend=f"call it `{place.text}_`; only ports and parameters may bear such a word",
    )


def whole_number(place: Span, whole: str, part: str, unit: str) -> Diagnostic:
    """A decimal fraction, with the same in a smaller unit where there is one."""
    return Diagnostic(
        "whole-number",
        f"`{place.text}` is no whole number",
        place,
        notes=("Numbers are whole, so that nothing is rounded unseen.",),
        mend=_in_whole(whole, part, unit) or "write a whole number",
    )


def _in_whole(whole: str, part: str, unit: str) -> str | None:
    if unit not in _UNIT_SIZES or len(whole + part) > LONGEST_NUMBER:
        return None
    scale = 10 ** len(part)
    size = int(whole + part) * _UNIT_SIZES[unit]
    for smaller, length in sorted(_UNIT_SIZES.items(), key=lambda one: -one[1]):
        count, rest = divmod(size, scale * length)
        if not rest:
            return f"write `{count} {smaller}`"
    return "write it in milliseconds, and round to whole ones yourself"


def open_text(place: Span) -> Diagnostic:
    """A text without its end."""
    return Diagnostic(
        "open-text",
        "a text is not closed on its line",
        place,
        'the closing `"` is missing',
        mend='put `"` where the text ends; a text stands on one line',
    )


def stray_letter(place: Span) -> Diagnostic:
    """A letter that has no place in the language."""
    letter = place.text
    name = unicodedata.name(letter, "").lower()
    told = f"U+{ord(letter):04X}" + (f", {name}" if name else "")
    if not letter.isprintable() and letter != "\t":
        return Diagnostic(
            "stray-letter",
            f"a hidden letter, {told}",
            place,
            notes=("Letters that can't be seen can make a text look like another one.",),
            mend="delete it",
        )
    notes = () if letter.isascii() else (f"It is {told}.",)
    return Diagnostic(
        "stray-letter",
        f"`{letter}` is no letter of the language",
        place,
        notes=notes,
        mend="names are made of `a` to `z`, `A` to `Z`, digits and `_`; "
        "any letter may stand in texts and comments",
    )


def too_deep(place: Span, limit: int) -> Diagnostic:
    """Brackets, blocks or operators too deep inside each other."""
    return Diagnostic(
        "too-deep",
        "this is nested too deeply",
        place,
        notes=(f"The limit is {limit} levels.",),
        mend="give a name to an inner piece with `let`; for long lists use `any of (...)`, "
        "`all of (...)` or `sum of (...)`",
    )


def long_number(place: Span) -> Diagnostic:
    """A number with too many digits."""
    return Diagnostic(
        "too-long",
        f"a number of {len(place.text)} digits",
        place,
        notes=(f"At most {LONGEST_NUMBER} digits can be read.",),
        mend="write a smaller number, or a larger unit",
    )


def long_name(place: Span) -> Diagnostic:
    """A name with too many letters."""
    return Diagnostic(
        "too-long",
        f"a name of {len(place.text)} letters",
        place,
        notes=(f"At most {LONGEST_NAME} letters can be read.",),
        mend="choose a shorter name",
    )


def unit_missing(place: Span) -> Diagnostic:
    """A bare number where only a time will do."""
    return Diagnostic(
        "unit-missing",
        f"`{place.text}` needs a unit of time",
        place,
        notes=("The unit stands on the line of its number: `ms`, `s`, `min`, `h` or `ticks`.",),
        mend=f"write `{place.text} ms` or `{place.text} s`",
    )


def unit_unknown(place: Span, number: str) -> Diagnostic | None:
    """A unit under another name; None if the word is no unit that we know."""
    unit = place.text if place.text in UNITS else _UNIT_MEANT.get(place.text.lower())
    unit = unit or (place.text.lower() if place.text.lower() in UNITS else None)
    if unit is None:
        return None
    return Diagnostic(
        "unit-missing",
        f"`{place.text}` is no unit of time here",
        place,
        notes=("The units are `ms`, `s`, `min`, `h` and `ticks`.",),
        mend=f"write `{number} {unit}`",
    )


def times_in_a_row(place: Span) -> Diagnostic:
    """`1 min 30 s`: two times side by side."""
    size = 0
    units = []
    for number, unit in re.findall(r"([0-9]+)[ \t]*([a-z]+)", place.text):
        units.append(unit)
        size += int(number) * _UNIT_SIZES.get(unit, 0)
    mend = "join them with `+`"
    if len(units) == len([one for one in units if one in _UNIT_SIZES]):
        smallest = min(units, key=lambda one: _UNIT_SIZES[one])
        mend = f"write `{size // _UNIT_SIZES[smallest]} {smallest}`"
    return Diagnostic("unreadable", "two times side by side", place, mend=mend)


# --- files ---------------------------------------------------------------------------------------


def no_file(path: Path, cause: str) -> Diagnostic:
    """A file that can't be opened or read; `cause` is a clause such as `there is no such file`."""
    return Diagnostic("unreadable-file", f"can't read `{shown(str(path))}`: {cause}", None)


def large_file(path: Path) -> Diagnostic:
    """A file too large for a design."""
    return Diagnostic(
        "too-large",
        f"`{shown(str(path))}` is too large for a design",
        None,
        notes=(f"A file may have {LARGEST_FILE >> 20} MiB.",),
        mend="say what repeats with `for` and rows, or move kinds to files of their own with `use`",
    )


def not_utf8(path: Path, line: int) -> Diagnostic:
    """A file in another encoding."""
    return Diagnostic(
        "not-utf8",
        f"`{shown(str(path))}` is no UTF-8 text",
        None,
        notes=(f"The first byte that is none stands on line {line}.",),
        mend="save the file as UTF-8",
    )
