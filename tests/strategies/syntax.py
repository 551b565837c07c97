"""Trees of every sort that the grammar has, at random."""

import re
import string
from collections.abc import Callable
from typing import TypeVar, cast

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from verifier.source.text import Source, Span
from verifier.syntax import tree
from verifier.syntax.words import OTHER, TAKEN

SPAN = Span(Source("<made>", ""), 0, 0)
Drawn = TypeVar("Drawn", bound=tree.Node)

# Parts of words of several parts, and units, are the names most likely to be misread.
PARTS_OF_WORDS = sorted({part for word in OTHER for part in word.split()} - set(TAKEN))


def made(node: Callable[..., Drawn], *fields: SearchStrategy[object]) -> SearchStrategy[Drawn]:
    """Draw the fields of a node, in their order."""
    return st.tuples(*fields).map(lambda drawn: node(*drawn, span=SPAN))


def maybe(field: SearchStrategy[Drawn]) -> SearchStrategy[Drawn | None]:
    return st.none() | field


def several(field: SearchStrategy[Drawn], least: int = 1) -> SearchStrategy[tuple[Drawn, ...]]:
    return st.lists(field, min_size=least, max_size=3).map(tuple)


# --- names ---------------------------------------------------------------------------------------

letters = st.text(string.ascii_letters + "_", min_size=1, max_size=1)
more = st.text(string.ascii_letters + string.digits + "_", max_size=3)
free_names = st.builds(str.__add__, letters, more).filter(lambda name: name not in TAKEN)
names = free_names | st.sampled_from(PARTS_OF_WORDS)
any_names = names | st.sampled_from(sorted(TAKEN))
words = made(tree.Word, names)
texts = st.text(
    st.characters(exclude_categories=("C", "Zl", "Zp")) | st.sampled_from('"\\#{}'), max_size=8
)

# --- expressions ---------------------------------------------------------------------------------

numbers = made(tree.Number, st.integers(0, 10**18 - 1) | st.integers(0, 9))
times = made(tree.Time, st.integers(0, 99), st.sampled_from(["ms", "s", "min", "h", "tick"]))
plain_refs = made(tree.Ref, several(made(tree.Step, names)))
leaves = cast(
    "SearchStrategy[tree.Expression]",
    st.one_of(
        numbers,
        times,
        plain_refs,
        made(tree.YesNo, st.booleans()),
        st.just(tree.Anywhere(span=SPAN)),
    ),
)


def ranges(inner: SearchStrategy[tree.Expression]) -> SearchStrategy[tree.Range]:
    return made(tree.Range, inner, inner)


def refs(inner: SearchStrategy[tree.Expression]) -> SearchStrategy[tree.Ref]:
    index = st.none() | inner | ranges(inner)
    first = made(tree.Step, names, index).map(lambda one: (one,))
    others = several(made(tree.Step, any_names, index), least=0)
    return made(tree.Ref, st.builds(tuple.__add__, first, others))


def tallies(inner: SearchStrategy[tree.Expression]) -> SearchStrategy[tree.Tally]:
    numbered = (tree.Measure.AT_MOST, tree.Measure.AT_LEAST, tree.Measure.EXACTLY)
    whole = [one for one in tree.Measure if one not in numbered]
    return made(tree.Tally, st.sampled_from(numbered), inner, several(inner)) | made(
        tree.Tally, st.sampled_from(whole), st.none(), several(inner)
    )


def extended(inner: SearchStrategy[tree.Expression]) -> SearchStrategy[tree.Expression]:
    ref = refs(inner)
    return cast(
        "SearchStrategy[tree.Expression]",
        st.one_of(
            ref,
            made(tree.Binary, st.sampled_from(tree.Operator), inner, inner),
            made(tree.Not, inner),
            made(tree.Edge, inner, st.booleans()),
            made(tree.Choose, inner, inner, inner),
            tallies(inner),
            made(tree.InRoom, maybe(ref), ref, st.booleans()),
            made(tree.Between, maybe(ref), ref, ref, st.booleans()),
            made(tree.WalkersIn, ref),
        ),
    )


expressions = st.recursive(leaves, extended, max_leaves=4)
any_refs = refs(expressions)
values = expressions | ranges(expressions)
declared = made(tree.Declared, names, st.none() | expressions | ranges(expressions))
ports = made(tree.Declared, any_names, st.none() | expressions | ranges(expressions))

# --- types and sentences -------------------------------------------------------------------------


def plain(*types: tree.Plain) -> SearchStrategy[tree.PlainType]:
    return made(tree.PlainType, st.sampled_from(types))


counts = made(tree.CountType, ranges(expressions))
choices = made(tree.ChoiceType, several(words))
parameter_types = (
    plain(*(one for one in tree.Plain if one is not tree.Plain.TIMER)) | counts | choices
)
kept_types = plain(tree.Plain.FLAG, tree.Plain.TIMER) | counts | choices
free_types = plain(tree.Plain.SIGNAL) | counts | choices

P = expressions
limits = maybe(cast("SearchStrategy[tree.Number]", expressions))
first_links = made(tree.ChainLink, P, st.none()).map(lambda one: (one,))
chains = st.builds(tuple.__add__, first_links, several(made(tree.ChainLink, P, limits), least=0))
bare_sentences = cast(
    "SearchStrategy[tree.Sentence]",
    st.one_of(
        made(tree.Never, P),
        made(tree.Always, P),
        made(tree.Lasts, P, P, st.none()),
        made(tree.Lasts, P, st.none(), P),
        made(tree.Lasts, P, P, P),
        made(tree.Returns, P, limits),
        made(tree.LeadsTo, P, P, limits),
        made(tree.OnlyAfter, P, chains, limits),
        made(tree.OnlyWhile, P, P),
        made(tree.AtMostTimes, P, P, P),
        made(tree.Possible, P, limits, st.booleans()),
        made(tree.NoSooner, P, P),
        made(tree.AlwaysPossible, P, limits),
        made(tree.Eventually, P, limits),
    ),
)


def scoped(inner: SearchStrategy[tree.Sentence]) -> SearchStrategy[tree.Sentence]:
    return cast(
        "SearchStrategy[tree.Sentence]",
        st.one_of(
            made(tree.WhileScope, P, inner),
            made(tree.AfterScope, P, inner),
            made(tree.FromUntilScope, P, P, inner),
            made(tree.AnywhereScope, inner),
        ),
    )


sentences = st.recursive(bare_sentences, scoped, max_leaves=2)

# --- statements ----------------------------------------------------------------------------------

cases = several(made(tree.Case, values, st.none() | expressions))
arguments = made(tree.Argument, maybe(made(tree.Word, any_names)), values)
plain_statements = cast(
    "SearchStrategy[tree.Statement]",
    st.one_of(
        made(tree.Tick, times),
        made(tree.Tolerance, st.integers(0, 200)),
        made(tree.Setting, words, values, maybe(ranges(expressions))),
        made(tree.Part, declared, words, several(arguments, least=0)),
        made(tree.Wire, several(any_refs, least=2)),
        made(tree.Drive, any_refs, P),
        made(tree.Let, declared, expressions),
        made(tree.Keep, declared, kept_types, st.none() | expressions),
        made(tree.Free, declared, free_types),
        made(tree.Becomes, any_refs, cases),
        made(tree.Loads, any_refs, cases),
        made(tree.Runs, any_refs, P),
        made(tree.In, ports, st.just(True), st.sampled_from([None, False])),
        made(tree.In, ports, st.just(False), st.sampled_from([None, False, True])),
        made(tree.Out, ports, st.booleans(), st.none() | expressions),
        made(tree.Uses, expressions, any_refs),
        made(tree.Rooms, several(words)),
        made(tree.Passage, any_refs, any_refs, st.booleans(), st.none() | P, st.none() | values),
        made(tree.Walker, declared, any_refs),
        st.just(tree.OnePress(span=SPAN)),
        made(tree.Assume, sentences),
        made(tree.StarvingAllowed, several(any_refs)),
    ),
)


def repeated(inner: SearchStrategy[tree.Statement]) -> SearchStrategy[tree.Statement]:
    return cast(
        "SearchStrategy[tree.Statement]",
        made(tree.For, words, ranges(expressions), st.lists(inner, max_size=3).map(tuple)),
    )


claims = made(tree.Claim, declared, st.none() | texts, sentences)
statements = st.recursive(plain_statements | claims, repeated, max_leaves=3)

# --- files ---------------------------------------------------------------------------------------

parameters = made(tree.Parameter, made(tree.Word, any_names), parameter_types, st.none() | values)


@st.composite
def blocks(draw: DrawFn) -> tree.Block:
    return tree.Block(
        draw(words),
        draw(several(parameters, least=0)),
        draw(st.none() | texts),
        tuple(draw(st.lists(statements, max_size=3))),
        draw(st.booleans()),
        span=SPAN,
    )


files = made(
    tree.File, several(made(tree.Use, texts), least=0), st.lists(blocks(), max_size=2).map(tuple)
)

one_statement = (plain_statements | claims | statements).map(
    lambda one: tree.File(
        (),
        (tree.Block(tree.Word("d", span=SPAN), (), None, (one,), is_design=True, span=SPAN),),
        span=SPAN,
    )
)

# --- texts that are nearly right -----------------------------------------------------------------

ODD = [
    *"{}()[].,:=<>!+*%\"#-;'/\\&|~@$?`^",
    "0.5 s",
    "1 min 30 s",
    "3 sec",
    "99999999999999999999",
    "\n",
    "\r",
    "\t",
    "\x00",
    "\x1b[31m",
    "\u202e",
    "\u200b",
    "\ufeff",
    "\ud800",
    "é",
    "→",
    "“",
    "漢",
    "\U0001f511",
    "x" * 300,
    "((((",
    *sorted(TAKEN),
    *OTHER,
]


def _dropped(words: list[str], at: int, _odd: str) -> list[str]:
    return words[:at] + words[at + 1 :]


def _doubled(words: list[str], at: int, _odd: str) -> list[str]:
    return words[: at + 1] + words[at:]


def _swapped(words: list[str], at: int, _odd: str) -> list[str]:
    return words[:at] + words[at + 1 : at + 2] + words[at : at + 1] + words[at + 2 :]


def _filled(words: list[str], at: int, odd: str) -> list[str]:
    return [*words[:at], odd, *words[at:]]


def _cut(words: list[str], at: int, _odd: str) -> list[str]:
    return words[:at]


CHANGES = (_dropped, _doubled, _swapped, _filled, _cut)


@st.composite
def damaged(draw: DrawFn, whole: SearchStrategy[str]) -> str:
    """Draw a text and damage it: words dropped, doubled, swapped, odd ones put in, the end cut."""
    words = re.findall(r"\w+|\s+|[^\w\s]", draw(whole))
    for change in draw(st.lists(st.sampled_from(CHANGES), min_size=1, max_size=4)):
        at = draw(st.integers(0, max(0, len(words) - 1)))
        words = change(words, at, draw(st.sampled_from(ODD)))
    return "".join(words)
