"""A run as a waveform: a value change dump, IEEE 1364-2005 clause 18, for any viewer of such files.

Every net and timer of the design is a variable in the scope of its part. A tick takes one time unit
where the standard has a scale for it (1, 10 or 100 of a unit), else some units of the largest scale
that fits. Names become legal ones: what is no letter, digit or `_` turns into `_`, and words of the
standard's own get a `_`.

- A flag is one wire; numbers are vectors.
- A choice is a vector with the position of the option; its options stand in a comment.
- A timer is a vector with the ticks it has left. Of one that may show more than some hundred ticks
  they are rounded up to a multiple of a number of ticks that stands in the comment. So each value
  is a true one, and a file grows with what happens, not with how long it takes.
"""

import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import assert_never

from verifier.design.model import Choice, Design, Flag, Net, Number, Timer
from verifier.report.letters import shown
from verifier.simulate.readings import Readings

MOST_STEPS = 200
"""In so many steps a timer falls at the most."""

_UNITS = ((1_000_000_000, "s"), (1_000_000, "ms"), (1_000, "us"), (1, "ns"))
_BROKEN = "broken"

Value = int | str
Note = tuple[int, str, Value]  # tick, path, value


def waveform(design: Design, readings: Readings, claim: str = "") -> str:
    """Return a run as a value change dump; `claim`: whose breaks the readings hold."""
    from vcd import VCDWriter

    file = io.StringIO()
    scale, each = timescale(design.tick_ns)
    about = [f"{shown(design.name)}: a tick is {each} of the time unit", *_options(design)]
    names = Names(legal(design.name))
    with VCDWriter(file, scale, date="", comment="; ".join(about), version="latchwork") as writer:
        variables = {}
        items: list[Net | Timer] = [*design.nets, *design.timers]
        for one in items:
            scope, name = names.of(one.path)
            variables[one.path] = writer.register_var(scope, name, "wire", _bits(one), init="x")
        if claim and readings.broken is not None:
            scope, name = names.of_claim(claim)
            variables[_claimed(claim)] = writer.register_var(scope, name, "wire", 1, init="x")
        for tick, path, value in sorted(_notes(design, readings, claim), key=lambda one: one[0]):
            writer.change(variables[path], tick * each, value)
        writer.close(readings.length * each)
    return file.getvalue()


def timescale(tick_ns: int) -> tuple[tuple[int, str], int]:
    """Return the largest scale of the standard that divides a tick, and how many a tick takes."""
    scales = ((many * unit, (many, name)) for unit, name in _UNITS for many in (100, 10, 1))
    return next((told, tick_ns // size) for size, told in scales if tick_ns % size == 0)


def _options(design: Design) -> Iterator[str]:
    for net in design.nets:
        if isinstance(net.shape, Choice):
            told = ", ".join(f"{at} {shown(one)}" for at, one in enumerate(net.shape.options))
            yield f"{net.path}: {told}"
    for timer in design.timers:
        if step_of(timer) > 1:
            yield f"{timer.path}: rounded up to {step_of(timer)} ticks"


def step_of(timer: Timer) -> int:
    """Return to which multiple of ticks a timer is rounded up."""
    return -(-timer.longest // MOST_STEPS) or 1


def _bits(one: Net | Timer) -> int:
    if isinstance(one, Timer):
        return (one.longest + step_of(one)).bit_length()
    match one.shape:
        case Flag():
            return 1
        case Number(low, high):
            # Numbers below 0 are written as two's complement.
            return max(1, high.bit_length() + (low < 0), (-low).bit_length() + (low < 0))
        case Choice(options):
            return max(1, (len(options) - 1).bit_length())
        case _:
            assert_never(one.shape)


def _notes(design: Design, readings: Readings, claim: str) -> Iterator[Note]:
    """Yield all changes, in order for each path."""
    for net in design.nets:
        for tick, value in readings.changes[net.path]:
            yield tick, net.path, value
    for timer in design.timers:
        yield from _timer(readings, timer)
    if claim and readings.broken is not None:
        for tick, value in readings.broken:
            yield tick, _claimed(claim), value


def _claimed(claim: str) -> str:
    """Return a path for a claim that no net has: a claim may be named like a part."""
    return f"claim {claim}"


def _timer(readings: Readings, timer: Timer) -> Iterator[Note]:
    shown_, step = readings.timers[timer.path], step_of(timer)
    ends = [*(one.tick for one in shown_[1:]), readings.length]
    for one, end in zip(shown_, ends, strict=True):
        yield one.tick, timer.path, -(-one.left // step) * step
        if not one.falls:
            continue
        zero = one.tick + one.left
        for left in range((one.left - 1) // step * step, -1, -step):
            if one.tick < zero - left < end:
                yield zero - left, timer.path, left


# --- names ---


@dataclass(slots=True)
class Names:
    """Gives each path a scope and a name of its own that the standard allows."""

    top: str
    taken: dict[str, str] = field(default_factory=dict)

    def of(self, path: str) -> tuple[tuple[str, ...], str]:
        """Return the scopes from the outermost on, and the name."""
        scopes: list[str] = [self.top]
        *parts, last = path.split(".")
        for at in range(len(parts)):
            scopes.append(self._own(".".join(parts[: at + 1]), parts[at], scopes, "scope"))
        return tuple(scopes), self._own(path, last, scopes, "name")

    def of_claim(self, claim: str) -> tuple[tuple[str, ...], str]:
        """Return the scopes and the name of what tells whether a claim is broken."""
        path = _claimed(claim)
        scopes = (self.top, self._own(path, claim, (self.top,), "scope"))
        return scopes, self._own(path, _BROKEN, scopes, "name")

    def _own(self, path: str, name: str, scopes: Iterable[str], sort: str) -> str:
        """Return a legal name that no other path has in its scope."""
        base = ".".join(scopes)
        word = legal(name)
        while self.taken.setdefault(f"{base}.{word}", f"{sort} {path}") != f"{sort} {path}":
            word += "_"
        return word


def legal(name: str) -> str:
    """Return a simple identifier (clause 3.7.1) for a name."""
    word = re.sub(r"[^A-Za-z0-9_]", "_", name).rstrip("_") or "_"
    if word[0].isdigit():
        word = f"_{word}"
    return f"{word}_" if word in KEYWORDS else word


KEYWORDS = frozenset(
    """
    always and assign automatic begin buf bufif0 bufif1 case casex casez cell cmos config
    deassign default defparam design disable edge else end endcase endconfig endfunction
    endgenerate endmodule endprimitive endspecify endtable endtask event for force forever fork
    function generate genvar highz0 highz1 if ifnone incdir include initial inout input instance
    integer join large liblist library localparam macromodule medium module nand negedge nmos
    nor noshowcancelled not notif0 notif1 or output parameter pmos posedge primitive pull0 pull1
    pulldown pullup pulsestyle_onevent pulsestyle_ondetect rcmos real realtime reg release
    repeat rnmos rpmos rtran rtranif0 rtranif1 scalared showcancelled signed small specify
    specparam strong0 strong1 supply0 supply1 table task time tran tranif0 tranif1 tri tri0 tri1
    triand trior trireg unsigned use uwire vectored wait wand weak0 weak1 while wire wor xnor
    xor
    """.split()  # noqa: SIM905 - a hundred quotes more are no easier to read
)
"""The words that name nothing else (IEEE 1364-2005, annex B; the list is from memory)."""
