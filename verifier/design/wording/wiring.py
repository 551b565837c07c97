"""Mistakes about wires, ports and loops."""

from typing import TYPE_CHECKING

from verifier.design.model import Net
from verifier.source.diagnostic import Diagnostic, Label, Severity
from verifier.source.text import Source, Span

if TYPE_CHECKING:
    from collections.abc import Sequence

    from verifier.design.model import Timer
    from verifier.design.scope import PartEntry, PortEntry, Scope

from verifier.design.wording.lists import listed


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
    mend = (
        f"its inputs: {listed(f'{inside.path}.{one.name}' for one in inputs)}" if inputs else None
    )
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


def _place(item: "Net | Timer") -> Span:
    """Return the place of the wire into a port where there is one, else of the declaration."""
    return item.driver if isinstance(item, Net) and item.driver is not None else item.span


def loop(items: "Sequence[Net | Timer]", own: Source) -> Diagnostic:
    """A loop through no kept state, net by net; a timer stands in it for what it runs while.

    It is told where it runs through the file of the design, `own`, if it does: by a wire there, or
    by what is declared there.
    """
    path = " -> ".join(f"`{one.path}`" for one in [*reversed(items), items[-1]])
    first = next((at for at, one in enumerate(items) if _place(one).source is own), 0)
    labels = tuple(
        Label(_place(one), f"`{one.path}`") for one in [*items[first + 1 :], *items[:first]][:3]
    )
    return Diagnostic(
        "loop",
        "a loop that nothing holds: each waits for the other in the same tick",
        _place(items[first]),
        labels=labels,
        notes=(f"round it goes: {path}",),
        mend="put a part that keeps state into it, such as a relay, which answers a tick later",
    )
