"""What the design stage says of mistakes: facts in, a diagnostic out.

A headline stands alone, in lower case; the mend says what to do. Codes have a page each under
verifier/source/pages.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from verifier.design.values import NumberValue, TimerValue, TimeValue, Value, name_of, time_text
from verifier.source.diagnostic import Diagnostic, Label, Severity
from verifier.source.nearest import nearest
from verifier.source.text import Span
from verifier.syntax import tree

if TYPE_CHECKING:
    from verifier.design.model import Net
    from verifier.design.scope import PartEntry, PortEntry, Scope

_MANY = 8


def _list(names: Iterable[str]) -> str:
    known = sorted(names)
    shown = ", ".join(f"`{name}`" for name in known[:_MANY])
    return f"{shown} and {len(known) - _MANY} more" if len(known) > _MANY else shown


def _meant(name: str, known: Iterable[str]) -> str | None:
    close = nearest(name, known)
    return None if close is None else f"did you mean `{close}`?"


# --- names ---------------------------------------------------------------------------------------


def unknown_name(span: Span, name: str, known: Iterable[str]) -> Diagnostic:
    """A name that nothing here declares."""
    names = set(known)
    mend = _meant(name, names) or "declare it here; a block sees only its own names"
    return Diagnostic("unknown-name", f"no `{name}` is declared here", span, mend=mend)


def unknown_port(span: Span, name: str, scope: "Scope") -> Diagnostic:
    """A part has no port or readable name like this."""
    names = list(scope.names)
    mend = _meant(name, names) or (f"it has {_list(names)}" if names else "it has no names at all")
    kind = scope.block.name.text
    return Diagnostic("unknown-port", f"`{scope.path}`, a {kind}, has no `{name}`", span, mend=mend)


def unknown_kind(span: Span, name: str, known: Iterable[str]) -> Diagnostic:
    """No kind of this name is in reach."""
    mend = (
        _meant(name, known) or "`latchwork parts` lists the standard kinds; `use` brings in others"
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


# --- types ---------------------------------------------------------------------------------------


def wrong_type(span: Span, wanted: str, value: Value) -> Diagnostic:
    """Something else is wanted here."""
    headline = f"{wanted} is wanted here, and this is {name_of(value)}"
    mend = None
    if isinstance(value, NumberValue) and wanted.startswith("a time"):
        mend = "write a unit on the same line: `3 s`, `500 ms`, `2 min`"
        return Diagnostic("wrong-unit", headline, span, mend=mend)
    if isinstance(value, TimeValue) and "number" in wanted:
        return Diagnostic("wrong-unit", headline, span, mend="leave out the unit")
    return Diagnostic("wrong-type", headline, span, mend=mend)


def wrong_argument(span: Span, name: str, wanted: str, value: Value) -> Diagnostic:
    """An argument of another type than its parameter."""
    headline = f"`{name}` wants {wanted}, and this is {name_of(value)}"
    timed = isinstance(value, TimeValue) or wanted == "a time"
    mend = "write a unit on the same line: `3 s`, `500 ms`" if wanted == "a time" else None
    code = "wrong-unit" if timed else "wrong-type"
    return Diagnostic(code, headline, span, mend=mend or f"give {wanted}")


def cannot_join(span: Span, operator: tree.Operator, left: Value, right: Value) -> Diagnostic:
    """Arithmetic between things that do not go together."""
    headline = f"{name_of(left)} and {name_of(right)} cannot be joined by `{operator.value}`"
    timed = isinstance(left, TimeValue) != isinstance(right, TimeValue)
    mend = "give the number a unit: `2 s`" if timed else "join two numbers, or two times"
    return Diagnostic("wrong-unit" if timed else "wrong-type", headline, span, mend=mend)


def not_comparable(span: Span, operator: tree.Operator, left: Value, right: Value) -> Diagnostic:
    """A comparison between things that do not go together."""
    headline = f"{name_of(left)} and {name_of(right)} cannot be compared by `{operator.value}`"
    timed = isinstance(left, TimeValue | TimerValue) != isinstance(right, TimeValue | TimerValue)
    mend = "compare a time with a time: `left > 2 s`" if timed else "compare like with like"
    return Diagnostic("wrong-unit" if timed else "wrong-type", headline, span, mend=mend)


def no_condition(span: Span, value: Value) -> Diagnostic:
    """Something that can be neither live nor dead."""
    headline = f"a condition is wanted here, and this is {name_of(value)}"
    mend = "compare it, for example with `> 0`"
    if isinstance(value, NumberValue) and value.power:
        headline = "a power port alone is no condition"
        mend = f"say how many units: `{span.text} >= 1`"
    elif isinstance(value, TimerValue):
        mend = f"compare it: `{span.text} > 0 s`, or ask `{span.text} ends`"
    return Diagnostic("no-condition", headline, span, mend=mend)


def no_main_output(span: Span, path: str, readable: Sequence[str]) -> Diagnostic:
    """A part without outputs, used as a condition or as the start of a wire."""
    mend = f"say which of its names: {_list(f'{path}.{name}' for name in readable)}"
    headline = f"`{path}` has no output"
    return Diagnostic("no-condition", headline, span, mend=mend if readable else None)


def timer_starts(span: Span) -> Diagnostic:
    """`X starts` of a timer."""
    mend = "name the condition that loads it; a timer only `ends`"
    return Diagnostic("wrong-type", "a timer does not start by itself", span, mend=mend)


def other_option(span: Span, name: str, options: Sequence[str]) -> Diagnostic:
    """A name beside a choice that is none of its options."""
    mend = _meant(name, options) or f"its options are {_list(options)}"
    return Diagnostic("other-option", f"`{name}` is none of its options", span, mend=mend)


def other_choice(span: Span, one: Sequence[str], other: Sequence[str]) -> Diagnostic:
    """Two choices with different options compared."""
    notes = (f"one is of {_list(one)}, the other of {_list(other)}",)
    headline = "two choices with different options are never the same"
    return Diagnostic("other-option", headline, span, notes=notes, mend="compare with an option")


def not_fixed(span: Span, what: str) -> Diagnostic:
    """Something that changes, where a constant is wanted."""
    mend = "use numbers, times, settings and parameters only"
    return Diagnostic("not-fixed", f"{what} must be fixed before anything runs", span, mend=mend)


def cannot_name(span: Span, value: Value) -> Diagnostic:
    """A `let` of something that it cannot name."""
    headline = f"`let` names a condition or an amount, and this is {name_of(value)}"
    return Diagnostic("wrong-type", headline, span, mend="use the thing itself")


def not_that_type(span: Span, what: str) -> Diagnostic:
    """A type that is of no use in this declaration."""
    mend = "use a flag, a `count LOW .. HIGH`, or `one of (...)`; kept state may be a timer too"
    return Diagnostic("wrong-type", f"{what} cannot be of this type", span, mend=mend)


def bad_divisor(span: Span) -> Diagnostic:
    """Division by something below 1."""
    return Diagnostic(
        "out-of-range", "the divisor must be 1 or more", span, mend="divide by 1 or more"
    )


def out_of_range(span: Span, value: int, low: int, high: int) -> Diagnostic:
    """A number outside the range of a count."""
    mend = "widen the range, or use a number inside it"
    return Diagnostic("out-of-range", f"{value} is outside {low} .. {high}", span, mend=mend)


def range_backward(span: Span) -> Diagnostic:
    """A range whose low end is above its high end."""
    headline = "the range runs backward: its low end is above its high end"
    return Diagnostic("out-of-range", headline, span, mend="swap its ends")


def no_range_here(span: Span) -> Diagnostic:
    """A range where one value is wanted."""
    headline = "one value is wanted here, not a range"
    return Diagnostic("wrong-type", headline, span, mend="choose with a `free` count instead")


def below_zero(net: "Net", least: int) -> Diagnostic:
    """A power amount that could go below nothing."""
    headline = f"`{net.path}` could go below 0 units, down to {least}"
    mend = "subtract only where it is left over: `feed - 2 when feed >= 2 else 0`"
    return Diagnostic("below-zero", headline, net.span, mend=mend)


# --- times ---------------------------------------------------------------------------------------


def off_tick(span: Span, ns: int, tick: int) -> Diagnostic:
    """A span that is no whole number of ticks."""
    from math import gcd

    below, above = ns // tick * tick, (ns // tick + 1) * tick
    near = f"`{time_text(above)}`" if not below else f"`{time_text(below)}` or `{time_text(above)}`"
    headline = f"{time_text(ns)} is no whole number of ticks of {time_text(tick)}"
    mend = f"use {near}, or `tick {time_text(gcd(ns, tick))}`"
    return Diagnostic("off-tick", headline, span, mend=mend)


def negative_time(span: Span) -> Diagnostic:
    """A time below nothing."""
    return Diagnostic("out-of-range", "a time cannot be below 0", span, mend="swap the two times")


def coarse_tolerance(span: TimeValue, percent: int, tick: int) -> Diagnostic:
    """Rounding to ticks does more than the tolerance itself."""
    from math import gcd

    exact = max(1, span.low * percent // 100)
    fine = gcd(tick, gcd(exact, span.low)) or 1
    headline = f"the tick is coarse for a tolerance of {percent} %"
    note = (
        f"rounding outward to ticks of {time_text(tick)} widens this span by more than {percent} %"
    )
    mend = f"`tick {time_text(fine)}` would do"
    return Diagnostic(
        "coarse-tolerance",
        headline,
        span.span,
        notes=(note,),
        mend=mend,
        severity=Severity.WARNING,
    )


def turned_other(span: Span, path: str) -> Diagnostic:
    """A load that is a span less another timer."""
    mend = f"only `span - {path.rsplit('.', maxsplit=1)[-1]}` may stand here, a glass turned over"
    return Diagnostic("wrong-type", "a timer can be turned over only by itself", span, mend=mend)


def no_time_to_walk(span: Span) -> Diagnostic:
    """A passage that takes no time."""
    headline = "a passage takes one tick at least"
    return Diagnostic("out-of-range", headline, span, mend="leave `takes` out for one tick")


def empty_window(span: Span) -> Diagnostic:
    """A window of no ticks."""
    return Diagnostic(
        "out-of-range", "the window must be a tick or longer", span, mend="lengthen it"
    )


# --- arguments -----------------------------------------------------------------------------------


def _head(block: tree.Block) -> str:
    names = ", ".join(one.name.text for one in block.parameters)
    return f"`{block.name.text}({names})`"


def unknown_argument(span: Span, name: str, block: tree.Block) -> Diagnostic:
    """An argument by a name that the kind has not."""
    names = [one.name.text for one in block.parameters]
    mend = _meant(name, names) or f"the kind is {_head(block)}"
    headline = f"`{block.name.text}` has no parameter `{name}`"
    return Diagnostic("argument", headline, span, mend=mend)


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


# --- wires ---------------------------------------------------------------------------------------


def chain_through_port(span: Span, entry: "PortEntry") -> Diagnostic:
    """A chain that goes on from an input."""
    path = entry.scope.path
    mend = f"start a new wire at `{path}`" if path else "start a new wire"
    headline = f"the chain cannot go on from `{entry.path}`, an input"
    return Diagnostic("not-a-source", headline, span, mend=mend)


def not_a_source(span: Span, path: str, is_input: bool) -> Diagnostic:  # noqa: FBT001 - a fact
    """A wire that starts at something that carries nothing."""
    what = "an input, fed from elsewhere" if is_input else "nothing that can be live from here"
    mend = "start at an output, a part, a `let`, a kept flag or a free signal"
    return Diagnostic("not-a-source", f"`{path}` is {what}", span, mend=mend)


def not_a_target(span: Span, path: str) -> Diagnostic:
    """A wire that ends at something that takes nothing."""
    mend = "end at a part or at one of its inputs; inside a kind, at its own outputs"
    return Diagnostic(
        "not-a-target", f"nothing can be wired into `{path}` from here", span, mend=mend
    )


def no_port(span: Span, inside: "Scope", what: str, source: str) -> Diagnostic:
    """The part has no input of the sort that is wanted."""
    inputs = inside.ports(inputs=True)
    kind = inside.block.name.text
    headline = f"`{inside.path}`, a {kind}, has no {what} input for `{source}`"
    mend = f"its inputs: {_list(f'{inside.path}.{one.name}' for one in inputs)}" if inputs else None
    if what == "signal" and inputs:
        mend = "put a relay between: a signal cannot feed power"
    return Diagnostic("no-port", headline, span, mend=mend or "it takes no wires")


def signal_into_power(span: Span, source: str, target: "PortEntry") -> Diagnostic:
    """A signal cannot feed power."""
    headline = f"{source if source[0] == '`' else f'`{source}`'} is a signal and cannot feed power"
    notes = (f"`{target.path}` is a power input: it takes units, and a signal carries none",)
    mend = "put a relay between: the signal on its coil, power through its contact"
    return Diagnostic("signal-into-power", headline, span, notes=notes, mend=mend)


def two_wires(span: Span, target: "PortEntry", first: Span) -> Diagnostic:
    """Two wires into one input."""
    mend = (
        "join the supplies with a `busbar`"
        if target.net.power
        else "join the signals with an `or_gate`, or write one `when` with `or`"
    )
    label = Label(first, "the first is here")
    headline = f"`{target.path}` is driven twice"
    return Diagnostic("two-wires", headline, span, labels=(label,), mend=mend)


def split_power(span: Span, source: "PortEntry", first: Span) -> Diagnostic:
    """One power output into two inputs."""
    label = Label(first, "its units already go here")
    headline = f"`{source.path}` cannot feed two power inputs"
    mend = "share it out with a `divider`, or take a part of it with a `tap`"
    return Diagnostic("split-power", headline, span, labels=(label,), mend=mend)


def unwired(entry: "PartEntry", missing: "Sequence[PortEntry]") -> Diagnostic:
    """Inputs that nothing is wired into."""
    names = ", ".join(f"`{one.name}`" for one in missing)
    what = "gets 0 units" if missing[0].net.power else "stays dead"
    verb = "is" if len(missing) == 1 else "are"
    notes = (f"an unwired input {what}",)
    return Diagnostic(
        "unwired",
        f"{names} of `{entry.path}` {verb} not wired",
        entry.span,
        notes=notes,
        mend=f"wire it: `... -> {entry.path}.{missing[0].name}`",
        severity=Severity.WARNING,
    )


def undriven(port: "PortEntry") -> Diagnostic:
    """An output of a kind without a value."""
    mend = f"say what it shows: `out {port.name}: ... = ...`, or wire something into it"
    return Diagnostic("undriven", f"nothing drives the output `{port.name}`", port.span, mend=mend)


def loop(nets: "Sequence[Net]") -> Diagnostic:
    """A loop through no kept state, net by net."""
    path = " -> ".join(f"`{net.path}`" for net in [*reversed(nets), nets[-1]])
    labels = tuple(Label(net.span, f"`{net.path}`") for net in nets[1:4])
    return Diagnostic(
        "loop",
        "a loop that nothing holds: each waits for the other in the same tick",
        nets[0].span,
        labels=labels,
        notes=(f"round it goes: {path}",),
        mend="put a part that keeps state into it, such as a relay, which answers a tick later",
    )


# --- kinds ---------------------------------------------------------------------------------------


def kind_in_itself(span: Span, name: str, path: str) -> Diagnostic:
    """A kind that is built of itself."""
    headline = f"the kind `{name}` is built of itself"
    notes = (f"`{path}` would hold another one, and so on without end",)
    return Diagnostic(
        "kind-in-itself", headline, span, notes=notes, mend="use a row of parts instead"
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
    mend = f"declare it here with `keep {span.text}: ...`"
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


def too_deep(span: Span) -> Diagnostic:
    """Definitions that lead on to others too many times."""
    headline = "names lead on to other names too many times"
    return Diagnostic(
        "too-deep", headline, span, mend="break the chain with a part that keeps state"
    )


def anywhere_here(span: Span) -> Diagnostic:
    """`anywhere` where one room is wanted."""
    return Diagnostic(
        "wrong-type", "one room is wanted here, not anywhere", span, mend="name a room"
    )


# --- claims --------------------------------------------------------------------------------------


def claim_scope(span: Span) -> Diagnostic:
    """A sentence that takes no scope."""
    headline = "this sentence cannot stand inside a scope"
    mend = "say it without the scope: this form, and `from anywhere`, speak of whole runs"
    return Diagnostic("claim-scope", headline, span, mend=mend)


def assume_form(span: Span) -> Diagnostic:
    """A sentence that cannot be assumed."""
    headline = "only what must never happen, or happens within a time, can be assumed"
    mend = "use `never`, `always`, `lasts`, or give it a time: `within 5 s`"
    return Diagnostic("assume-form", headline, span, mend=mend)


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


def no_design(name: str) -> Diagnostic:
    """A file without a design."""
    mend = "add `design NAME { ... }`, or `use` this file from one that has it"
    return Diagnostic("no-design", f"`{name}` holds no design", None, mend=mend)


def unknown_setting(name: str, known: Iterable[str]) -> Diagnostic:
    """`--set` of something that the design has not."""
    names = set(known)
    has = f"it has {_list(names)}" if names else "the design has no settings"
    headline = f"no setting or parameter `{name}` to set"
    return Diagnostic("unknown-name", headline, None, mend=_meant(name, names) or has)


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
