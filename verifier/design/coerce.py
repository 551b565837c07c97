"""Takes a value for what a place asks for: a condition, a number, a whole number of ticks."""

from verifier.design import terms, wording
from verifier.design.model import Cond, HowMany, Live, Num
from verifier.design.scope import LetEntry, Mistake, PortEntry, Scope
from verifier.design.values import FlagValue, NumberValue, PartValue, TimeValue, Value
from verifier.source.text import Span
from verifier.syntax import tree

MOST_TICKS = 10**15 - 1
"""No time longer than this (`too-long`): certificates hold numbers of 15 digits, and sums of times
stay far below the 63 bits that the solver's numbers are handed over in."""


def as_condition(value: Value, node: tree.Node) -> Cond:
    """Return a value as a condition, or raise the Mistake that says why it is none."""
    match value:
        case FlagValue(term):
            return term
        case PartValue(inside):
            port = main_output(inside, node)
            return terms.some(port.net) if port.net.power else Live(port.net)
        case _:
            raise Mistake(wording.no_condition(node.span, value))


def main_output(inside: Scope, node: tree.Node) -> PortEntry:
    """Return the first output of a part, or raise the Mistake that it has none."""
    outputs = inside.ports(inputs=False)
    if not outputs:
        readable = [one.name for one in inside.entries() if isinstance(one, LetEntry)]
        raise Mistake(wording.no_main_output(node.span, inside.path, readable))
    return outputs[0]


def as_number(value: Value, node: tree.Node) -> Num:
    """Return a value as a number; a condition counts as 0 or 1."""
    match value:
        case NumberValue(term):
            return term
        case FlagValue() | PartValue():
            return HowMany((as_condition(value, node),))
        case _:
            raise Mistake(wording.wrong_type(node.span, "a number", value))


def time_range(node: tree.Node, low: TimeValue, high: TimeValue) -> TimeValue:
    """Join two times into a range; Mistake where they stand the wrong way round."""
    if low.low > high.high:
        raise Mistake(wording.range_backward(node.span))
    return TimeValue(low.low, high.high, node.span, low.moved_by | high.moved_by)


def ticks(value: TimeValue, node: tree.Node, tick: int) -> int:
    """Return a single time in ticks; Mistake where it is no whole number of them."""
    if value.low != value.high:
        raise Mistake(wording.not_fixed(node.span, "a single time"))
    return tick_count(value.low, value.span, tick)


def tick_count(ns: int, span: Span, tick: int) -> int:
    """Return nanoseconds in ticks of `tick` ns; Mistake where they are no whole number of them."""
    if ns % tick:
        raise Mistake(wording.off_tick(span, ns, tick))
    check_ticks(ns // tick, span, tick)
    return ns // tick


def check_ticks(count: int, span: Span, tick: int) -> None:
    """Raise the Mistake that a time is too long, where it is."""
    if count > MOST_TICKS:
        raise Mistake(wording.long_time(span, MOST_TICKS, tick))
