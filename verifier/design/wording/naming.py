"""Mistakes about names, arguments, kinds and files."""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from verifier.design.values import time_text
from verifier.source.diagnostic import Diagnostic, Label, Severity
from verifier.source.text import Span
from verifier.syntax import tree

if TYPE_CHECKING:
    from verifier.design.scope import Scope

from verifier.design.wording.lists import listed, meant

# --- names ---------------------------------------------------------------------------------------


_OTHER_WORDS = {"true": "write `yes`", "false": "write `no`"}
"""Values under the names that they have elsewhere."""


def unknown_name(span: Span, name: str, known: Iterable[str]) -> Diagnostic:
    """A name that nothing here declares."""
    names = set(known)
    mend = _OTHER_WORDS.get(name.lower()) or meant(name, names)
    mend = mend or "declare it here; a block sees only its own names"
    return Diagnostic("unknown-name", f"no `{name}` is declared here", span, mend=mend)


def unknown_port(span: Span, name: str, scope: "Scope") -> Diagnostic:
    """A part has no port or readable name like this."""
    kind = scope.block.name.text
    parameters = {one.name.text for one in scope.block.parameters}
    inputs = [one.name for one in scope.ports(inputs=True)]
    others = [one for one in scope.names if one not in (*inputs, *parameters)]
    has = [f"its inputs: {listed(inputs)}"] if inputs else []
    has += [f"what can be read of it: {listed(others)}"] if others else []
    mend = meant(name, (*inputs, *others)) or "; ".join(has) or "it has no names at all"
    return Diagnostic("unknown-port", f"`{scope.path}`, a {kind}, has no `{name}`", span, mend=mend)


def unknown_kind(span: Span, name: str, known: Iterable[str]) -> Diagnostic:
    """No kind of this name is in reach."""
    mend = (
        meant(name, known) or "`latchwork parts` lists the standard kinds; `use` brings in others"
    )
    return Diagnostic("unknown-kind", f"no kind `{name}` is known", span, mend=mend)


def twice(span: Span, name: str, first: Span) -> Diagnostic:
    """One name for two things."""
    label = Label(first, "first here")
    mend = "give one of them another name"
    if name.rsplit(" ", maxsplit=1)[-1] in {"becomes", "loads", "while"}:
        mend = "join them in one statement: cases are tried in order, `A when C, B when D`"
    return Diagnostic("twice", f"`{name}` is given twice", span, labels=(label,), mend=mend)


def shadow(span: Span, name: str) -> Diagnostic:
    """A loop name that is already something else."""
    headline = f"the loop name `{name}` already means something here"
    return Diagnostic("shadow", headline, span, mend="choose another name for the loop")


def circle(span: Span, path: str, asked: Span) -> Diagnostic:
    """A `let` or a setting that is defined by itself."""
    label = Label(asked, "asked for here, while it is being worked out")
    mend = "a `let` needs a beginning; keep a state with `keep` if it shall hold itself"
    return Diagnostic("circle", f"`{path}` is defined by itself", span, labels=(label,), mend=mend)


def no_inside(span: Span, name: str, whole: str) -> Diagnostic:
    """A dot after something that is no part."""
    mend = "only parts have ports and names inside"
    return Diagnostic("unknown-port", f"nothing in `{whole}` can have a `{name}`", span, mend=mend)


def outside_row(span: Span, name: str, index: int, items: Mapping[int, object]) -> Diagnostic:
    """An index that the row has not."""
    low, high = min(items), max(items)
    headline = f"`{name}` has no place {index}"
    return Diagnostic("row-index", headline, span, mend=f"its places are {low} .. {high}")


def row_without_index(span: Span, name: str, items: Mapping[int, object]) -> Diagnostic:
    """A row where one place of it is wanted."""
    mend = f"say which place: `{name}[{min(items)}]` .. `{name}[{max(items)}]`"
    return Diagnostic("row-index", f"`{name}` is a row, and one place is wanted", span, mend=mend)


def no_row(span: Span, name: str) -> Diagnostic:
    """An index on something that is no row."""
    mend = f"write `{name}` alone"
    return Diagnostic("row-index", f"`{name}` is no row, so it has no index", span, mend=mend)


def claim_as_value(span: Span, name: str) -> Diagnostic:
    """A claim used as a condition."""
    mend = "name its condition with `let` and use that"
    return Diagnostic("wrong-type", f"`{name}` is a claim, not a value", span, mend=mend)


# --- arguments -----------------------------------------------------------------------------------


def _head(block: tree.Block) -> str:
    names = ", ".join(one.name.text for one in block.parameters)
    return f"`{block.name.text}({names})`"


def unknown_argument(span: Span, name: str, block: tree.Block) -> Diagnostic:
    """An argument by a name that the kind has not."""
    names = [one.name.text for one in block.parameters]
    mend = meant(name, names) or f"the kind is {_head(block)}"
    headline = f"`{block.name.text}` has no parameter `{name}`"
    return Diagnostic("argument", headline, span, mend=mend)


def argument_with_equals(span: Span, name: str, value: str) -> Diagnostic:
    """An argument by name, with the wrong sign."""
    headline = f"an argument is named with a colon: `{name}:`"
    return Diagnostic("argument", headline, span, mend=f"write `{name}: {value}`")


def too_many_arguments(span: Span, block: tree.Block) -> Diagnostic:
    """More arguments than parameters."""
    count = len(block.parameters)
    headline = f"`{block.name.text}` takes {count} argument{'s' * (count != 1)} at most"
    return Diagnostic("argument", headline, span, mend=f"the kind is {_head(block)}")


def missing_argument(span: Span, name: str, block: tree.Block) -> Diagnostic:
    """A parameter without a default was given nothing."""
    headline = f"`{block.name.text}` wants `{name}`"
    mend = f"add `{name}: ...` to its arguments"
    if block.is_design:
        mend = f"give it on the command line: `--set {name}=...`"
    return Diagnostic("argument", headline, span, mend=mend)


# --- kinds ---------------------------------------------------------------------------------------


def kind_in_itself(span: Span, name: str, path: str) -> Diagnostic:
    """A kind that is built of itself."""
    headline = f"the kind `{name}` is built of itself"
    notes = (f"`{path}` would hold another one, and so on without end",)
    return Diagnostic(
        "kind-in-itself", headline, span, notes=notes, mend="use a row of parts instead"
    )


def kind_of_two_files(span: Span, name: str, both: tuple[Span, Span]) -> Diagnostic:
    """Two used files that each have a kind of one name."""
    return Diagnostic(
        "twice",
        f"two of the files used here have a kind `{name}`",
        span,
        labels=tuple(Label(one, "one of them") for one in both),
        mend="give one of them another name, or leave out one of the files",
    )


def wrong_place(span: Span, where: str) -> Diagnostic:
    """A statement that has no meaning here."""
    mend = {
        "design": "ports and `uses` belong in a kind",
        "kind": "this belongs in the design; a kind may `assume`, `keep` and `free`",
        "loop": "put it before the loop; it is said once for the whole block",
    }[where]
    return Diagnostic("wrong-place", f"this cannot stand in a {where}", span, mend=mend)


def two_uses(span: Span) -> Diagnostic:
    """A second `uses` in a kind."""
    mend = "add the units up in one `uses`"
    return Diagnostic("twice", "a kind says only once what it `uses`", span, mend=mend)


def not_a_feed(span: Span) -> Diagnostic:
    """`uses` of something that is no power input."""
    mend = "name one of the kind's own power inputs"
    return Diagnostic("wrong-type", "units are used from a power input", span, mend=mend)


def not_kept(span: Span, word: str) -> Diagnostic:
    """A change of state of something that keeps none of that sort."""
    wanted = "kept flag, count or choice" if word == "becomes" else "timer"
    mend = f"declare it here with `keep {span.quoted}: ...`"
    return Diagnostic("wrong-type", f"only a {wanted} of this block `{word}`", span, mend=mend)


def not_a_part(span: Span) -> Diagnostic:
    """`starving allowed` of something that is no part."""
    return Diagnostic("wrong-type", "only a part can starve", span, mend="name a placed part")


def too_many(span: Span, what: str, most: int) -> Diagnostic:
    """Something is larger than the limits."""
    headline = f"{what} of more than {most} is too large"
    return Diagnostic(
        "too-many", headline, span, mend="make it smaller; docs/limits.md lists limits"
    )


def too_many_pieces(span: Span, most: int) -> Diagnostic:
    """A design that says more than can be read through, once it is unfolded."""
    note = "Turns of loops, statements, and what expressions are made of count, each time anew."
    return Diagnostic(
        "too-many",
        f"the design unfolds into more than {most} pieces",
        span,
        notes=(note,),
        mend="make it smaller; docs/limits.md lists limits",
    )


def too_deep(span: Span) -> Diagnostic:
    """Definitions that lead on to others too many times."""
    headline = "names lead on to other names too many times"
    return Diagnostic(
        "too-deep", headline, span, mend="break the chain with a part that keeps state"
    )


def kinds_too_deep(span: Span, most: int) -> Diagnostic:
    """A kind made of parts that are made of parts, and so on, too many times."""
    headline = f"kinds stand inside each other more than {most} deep"
    mend = "place some of the parts side by side; docs/limits.md lists limits"
    return Diagnostic("too-deep", headline, span, mend=mend)


def anywhere_here(span: Span) -> Diagnostic:
    """`anywhere` where one room is wanted."""
    return Diagnostic(
        "wrong-type", "one room is wanted here, not anywhere", span, mend="name a room"
    )


# --- files and settings --------------------------------------------------------------------------


def use_missing(span: Span, path: str) -> Diagnostic:
    """A used file that cannot be read."""
    mend = "the path is taken from the folder of this file"
    return Diagnostic("use-missing", f"`{path}` cannot be read", span, mend=mend)


def use_outside(span: Span, path: str) -> Diagnostic:
    """A used file outside the folder."""
    mend = "copy it into the folder of the design, or below it"
    return Diagnostic("use-outside", f"`{path}` leads out of this folder", span, mend=mend)


def use_circle(span: Span, path: str) -> Diagnostic:
    """Files that use each other."""
    mend = "put what both need into a third file"
    return Diagnostic("use-circle", f"`{path}` uses this file in turn", span, mend=mend)


def too_many_ways(span: Span) -> Diagnostic:
    """A walker more than the house has room for."""
    return Diagnostic(
        "too-many",
        "too many rooms and passages for so many walkers",
        span,
        "with this one it is too much",
        notes=("Work grows with the walkers, and with the square of rooms and passages.",),
        mend="leave out rooms in which nothing happens, or walkers; docs/limits.md lists limits",
    )


def too_many_files(span: Span, deepest: int, most: int) -> Diagnostic:
    """Files that use files, too many of them or too far down."""
    return Diagnostic(
        "too-many",
        "too many files are used",
        span,
        notes=(f"The limits are {most} files, and {deepest} that use each other in a row.",),
        mend="put kinds that belong together into one file",
    )


def no_design(name: str) -> Diagnostic:
    """A file without a design."""
    mend = "add `design NAME { ... }`, or `use` this file from one that has it"
    return Diagnostic("no-design", f"`{name}` holds no design", None, mend=mend)


def unknown_setting(name: str, known: Iterable[str]) -> Diagnostic:
    """`--set` of something that the design has not."""
    names = set(known)
    has = f"it has {listed(names)}" if names else "the design has no settings"
    headline = f"no setting or parameter `{name}` to set"
    return Diagnostic("unknown-name", headline, None, mend=meant(name, names) or has)


def no_value(name: str, text: str) -> Diagnostic:
    """`--set` with a text that is no value."""
    mend = f"write one value: `--set {name}=3` or `--set '{name}=3 s'`"
    shown = " ".join(text.split())
    return Diagnostic("unreadable", f"`{shown}` is no value for `{name}`", None, mend=mend)


def finer_tick(span: Span, tick: int, finer: int) -> Diagnostic:
    """A tick that cannot be split like that."""
    headline = f"a tick of {time_text(tick)} cannot be split into {finer} whole parts"
    return Diagnostic("off-tick", headline, span, mend="try `--finer 2`, `5` or `10`")


def zero_tick(span: Span) -> Diagnostic:
    """A tick of no length."""
    return Diagnostic("out-of-range", "a tick cannot be 0", span, mend="write `tick 100 ms`")


def tick_in_ticks(span: Span) -> Diagnostic:
    """A tick measured in ticks."""
    headline = "the tick itself needs a real unit"
    return Diagnostic("wrong-unit", headline, span, mend="write `tick 100 ms`")


def unused_setting(span: Span, name: str) -> Diagnostic:
    """A setting that nothing reads."""
    return Diagnostic(
        "unused-setting",
        f"nothing uses the setting `{name}`",
        span,
        mend="use it, or take it out",
        severity=Severity.WARNING,
    )


def never_live(span: Span, path: str) -> Diagnostic:
    """A part whose output stays dead."""
    return Diagnostic(
        "never-live",
        f"no output of `{path}` can ever be live",
        span,
        mend="look at its wires and at what it is told",
        severity=Severity.WARNING,
    )
