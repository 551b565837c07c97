"""Mistakes about types, units, times and ranges."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from verifier.design.values import NumberValue, TimerValue, TimeValue, Value, name_of, time_text
from verifier.source.diagnostic import Diagnostic, Label, Severity
from verifier.source.text import Span
from verifier.syntax import tree
from verifier.syntax.mistakes import LONGEST_NUMBER

if TYPE_CHECKING:
    from verifier.design.model import Net

from verifier.design.wording.lists import listed, meant

# --- types ---------------------------------------------------------------------------------------


def wrong_type(span: Span, wanted: str, value: Value) -> Diagnostic:
    """Something else is wanted here."""
    headline = f"{wanted} is wanted here, and this is {name_of(value)}"
    if isinstance(value, NumberValue) and wanted.startswith("a time"):
        mend = "write a unit on the same line: `3 s`, `500 ms`, `2 min`"
        return Diagnostic("wrong-unit", headline, span, mend=mend)
    if isinstance(value, TimeValue) and "number" in wanted:
        return Diagnostic("wrong-unit", headline, span, mend="leave out the unit")
    return Diagnostic("wrong-type", headline, span, mend=f"put {wanted} in its place")


def wrong_argument(span: Span, name: str, wanted: str, value: Value) -> Diagnostic:
    """An argument of another type than its parameter."""
    headline = f"`{name}` wants {wanted}, and this is {name_of(value)}"
    measured = isinstance(value, TimeValue | NumberValue)
    timed = measured and (isinstance(value, TimeValue) or wanted == "a time")
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
        mend = f"say how many units: `{span.quoted} >= 1`"
    elif isinstance(value, TimerValue):
        mend = f"compare it: `{span.quoted} > 0 s`, or ask `{span.quoted} ends`"
    return Diagnostic("no-condition", headline, span, mend=mend)


def no_main_output(span: Span, path: str, readable: Sequence[str]) -> Diagnostic:
    """A part without outputs, used as a condition or as the start of a wire."""
    which = f"say which of its names: {listed(f'{path}.{name}' for name in readable)}"
    mend = which if readable else "give its kind an output, such as `out live: signal`"
    return Diagnostic("no-condition", f"`{path}` has no output", span, mend=mend)


def timer_starts(span: Span) -> Diagnostic:
    """`X starts` of a timer."""
    mend = "name the condition that loads it; a timer only `ends`"
    return Diagnostic("wrong-type", "a timer does not start by itself", span, mend=mend)


def other_option(span: Span, name: str, options: Sequence[str]) -> Diagnostic:
    """A name beside a choice that is none of its options."""
    mend = meant(name, options) or f"its options are {listed(options)}"
    return Diagnostic("other-option", f"`{name}` is none of its options", span, mend=mend)


def other_choice(span: Span, one: Sequence[str], other: Sequence[str]) -> Diagnostic:
    """Two choices with different options compared."""
    notes = (f"one is of {listed(one)}, the other of {listed(other)}",)
    headline = "two choices with different options are never the same"
    return Diagnostic("other-option", headline, span, notes=notes, mend="compare with an option")


def mixed_choices(span: Span, one: Sequence[str], other: Sequence[str]) -> Diagnostic:
    """Two choices with different options, one of which is to be taken."""
    notes = (f"one is of {listed(one)}, the other of {listed(other)}",)
    headline = "two choices with different options cannot stand for each other"
    return Diagnostic(
        "other-option", headline, span, notes=notes, mend="give both the same options"
    )


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


def no_power_parameter(span: Span) -> Diagnostic:
    """A parameter of type `power`: power comes by wires, not as a value."""
    mend = "for a number use `units`; for what arrives declare a port, `in feed: power`"
    return Diagnostic("wrong-type", "no value of a parameter is power", span, mend=mend)


def bad_divisor(span: Span) -> Diagnostic:
    """Division by something below 1."""
    return Diagnostic(
        "out-of-range", "the divisor must be 1 or more", span, mend="divide by 1 or more"
    )


def out_of_range(span: Span, value: int, low: int, high: int) -> Diagnostic:
    """A number outside the range of a count."""
    mend = "widen the range, or use a number inside it"
    return Diagnostic("out-of-range", f"{value} is outside {low} .. {high}", span, mend=mend)


def argument_out_of_range(
    span: Span, name: str, value: int, limits: tuple[int, int], declared: Span
) -> Diagnostic:
    """A value of a parameter outside the range that the parameter was declared with."""
    low, high = limits
    return Diagnostic(
        "out-of-range",
        f"`{name}` goes from {low} to {high}, and this is {value}",
        span,
        labels=(Label(declared, "declared here"),),
        mend="give a number inside this range, or widen the range",
    )


def range_backward(span: Span) -> Diagnostic:
    """A range whose low end is above its high end."""
    headline = "the range runs backward: its low end is above its high end"
    return Diagnostic("out-of-range", headline, span, mend="swap its ends")


def outside_tunable(span: Span, name: str, value: str, ends: str) -> Diagnostic:
    """A setting that stands outside the range in which it may be turned."""
    headline = f"`{name}` stands at {value}, outside the range {ends} in which it may be turned"
    mend = "choose a value inside the range, or widen the range after `tunable`"
    return Diagnostic("outside-tunable", headline, span, mend=mend)


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


def negative_number(span: Span, what: str) -> Diagnostic:
    """A number that counts something, and is below nothing."""
    return Diagnostic("out-of-range", f"{what} cannot be below 0", span, mend="use 0 or more")


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


def exact_span(span: Span, path: str, *, turned: bool) -> Diagnostic:
    """A span that a tolerance leaves as it is."""
    name = path.rsplit(".", maxsplit=1)[-1]
    why = f"`{path}` is turned over" if turned else f"`{path}` starts with it"
    mend = f"begin at 0 and load it: `{name} loads {span.quoted} when begins`"
    if turned:
        mend = "make it a `setting`: `latchwork margins` tells how far that may be off"
    return Diagnostic(
        "exact-span",
        f"the tolerance does not widen this span: {why}",
        span,
        "taken as exact",
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


def too_wide(span: Span, name: str) -> Diagnostic:
    """Amounts or counts with too many values to be worked with."""
    return Diagnostic(
        "too-many",
        "the amounts and counts of this design have too many values",
        span,
        f"with `{name}` it is too much",
        notes=("Each value that a number may take costs work, and a sum costs each pair of them.",),
        mend="make amounts smaller, such as by counting in larger units",
    )


def large_result(span: Span) -> Diagnostic:
    """Fixed numbers that come to one with too many digits."""
    return Diagnostic(
        "too-long",
        "this comes to a number with too many digits",
        span,
        notes=(f"At most {LONGEST_NUMBER} digits can be reckoned with.",),
        mend="make one of its numbers smaller",
    )


def long_time(span: Span, most: int, tick: int) -> Diagnostic:
    """A time that has too many ticks."""
    return Diagnostic(
        "too-long",
        f"a time of more than {most} ticks",
        span,
        notes=(f"A tick is {time_text(tick)}; times are counted in ticks.",),
        mend="make it shorter, or the tick longer",
    )
