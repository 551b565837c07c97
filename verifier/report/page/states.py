"""The state of each part, walker and kept value at every moment of a run, in few words."""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import assert_never

from verifier.causes.reasons import Reasons
from verifier.design.model import Choice, Design, Flag, Net, Number, Part, Role, Timer
from verifier.report.graph import Graph
from verifier.report.history import Leaf, Left, Run
from verifier.report.page.looks import LEFT, Course, Look, amount, course, state_look
from verifier.report.readings import leaf_nets, leaf_runs, timer_runs, walker_runs

# Words that say by themselves how a part is, and what it is called otherwise.
_TELLING = {
    "lit": "dark",
    "rings": "silent",
    "works": "at rest",
    "pulled": "dropped",
    "light": "night",
    "full": "",
    "empty": "",
}
_CALLED = {"light": "day"}

_MOST = 5  # outputs whose units are told one by one


def of_part(reasons: Reasons, part: Part, graph: Graph) -> Course:
    """Return how a part is from which tick on."""
    found = _Part(reasons, part, graph)
    return course(found.ticks(), found.look)


class _Part:
    """One part in one run."""

    def __init__(self, reasons: Reasons, part: Part, graph: Graph) -> None:
        self.readings, self.part = reasons.readings, part
        design = reasons.system.design
        self.hands = [free.net for free in design.free if free.net.part == part.path]
        self.pressed = any(graph.answers_at_once(h, o) for h in self.hands for o in part.ports_out)
        leaf = leaf_nets(part)
        self.leaf: tuple[Run, ...] = leaf_runs(self.readings, part, leaf) if leaf else ()
        self.falling = {timer: timer_runs(self.readings, timer) for timer in part.timers}
        named = (*part.ports_out, *part.lets)
        self.telling = {net.path.rpartition(".")[2]: net for net in named if _is_flag(net)}

    def ticks(self) -> Iterator[int]:
        """Yield the ticks at which something may change."""
        part = self.part
        nets = [*part.ports_in, *part.ports_out, *part.lets, *part.kept, part.fed, part.starving]
        for net in nets:
            if net is not None:
                yield from (tick for tick, _ in self.readings.changes[net.path])
        for runs in self.falling.values():
            yield from (run.start for run in runs)
        yield from (run.start for run in self.leaf)

    def look(self, tick: int) -> Look:
        """Return how it looks at a tick."""
        classes, told = self._classes(tick), self._timer(tick)
        words = self._words(tick, counts=told is not None)
        if told is None:
            return Look(" ".join(classes), words)
        left, full, falls = told
        return Look(" ".join([*classes, "runs"]), words, left, full, falls)

    def _is(self, net: Net | None, tick: int) -> int:
        return 0 if net is None else self.readings.at(net.path, tick)

    def _classes(self, tick: int) -> list[str]:
        found = []
        if self._is(self.part.starving, tick):
            found.append("starving")
        if self.leaf:
            return [*found, self._leaf(tick).value]
        if any(self._is(net, tick) for net in self.part.ports_out[:1]):
            found.append("live")
        return found

    def _leaf(self, tick: int) -> Leaf:
        state = _at(self.leaf, tick).state
        return state if isinstance(state, Leaf) else Leaf.SHUT

    def _timer(self, tick: int) -> tuple[int, int, bool] | None:
        """Return what the longest running timer shows; those of hands only count for them."""
        if self.hands:
            return None
        found = []
        for runs in self.falling.values():
            run = _at(runs, tick)
            if isinstance(run.state, Left) and run.state.ticks:
                gone = tick - run.start if run.state.falls else 0
                found.append((run.state.ticks - gone, run.state.full, run.state.falls))
        return max(found, default=None)

    def _words(self, tick: int, *, counts: bool) -> str:
        if self._is(self.part.starving, tick):
            gets = sum(self._is(net, tick) for net in self.part.ports_in if net.power)
            return f"starving: {gets} of {self.part.draw}"
        if self.leaf:
            leaf = self._leaf(tick).value
            moving = leaf in (Leaf.OPENING.value, Leaf.SHUTTING.value)
            return f"{leaf}, {LEFT} to go" if moving and counts else leaf
        if counts:
            return ", ".join([*self._told_by_name(tick), f"{LEFT} left"])
        kept = [net for net in self.part.kept if not _is_flag(net)]
        if kept:
            return ", ".join(_value(net, self._is(net, tick)) for net in kept)
        return self._output(tick)

    def _told_by_name(self, tick: int) -> Iterator[str]:
        for word, otherwise in _TELLING.items():
            net = self.telling.get(word)
            said = _CALLED.get(word, word) if self._is(net, tick) else otherwise
            if net is not None and said:
                yield said

    def _output(self, tick: int) -> str:
        told = next(self._told_by_name(tick), None)
        if told is not None:
            return told
        live = any(self._is(net, tick) for net in self.part.ports_out[:1])
        if self.pressed:
            return "pressed" if live else "at rest"
        power = [self._is(net, tick) for net in self.part.ports_out if net.power]
        if len(power) > _MOST:
            return f"{amount(sum(power))} in all"
        if power:
            gives = " + ".join(map(str, power)) if len(power) > 1 else amount(power[0])
            return gives if any(power) else "gives nothing"
        return "live" if live else "dead"


def _at(runs: Sequence[Run], tick: int) -> Run:
    return runs[bisect_right(runs, tick, key=lambda run: run.start) - 1]


def _is_flag(net: Net) -> bool:
    return isinstance(net.shape, Flag)


def _value(net: Net, value: int) -> str:
    match net.shape:
        case Choice(options):
            return options[value]
        case Number():
            return str(value)
        case Flag():
            return "live" if value else "dead"
        case _:
            assert_never(net.shape)


# --- what the design itself declares ---


@dataclass(frozen=True, slots=True)
class Own:
    """Something that belongs to no part: its name, what it is, and how it is when."""

    name: str
    sort: str
    item: Net | Timer
    course: Course


def of_design(reasons: Reasons) -> Iterator[Own]:
    """Yield walkers, kept values, timers and free choices of the design itself."""
    design, readings = reasons.system.design, reasons.readings
    hidden = set[Net | Timer]()
    for walker in design.walkers:
        hidden.update((walker.place, walker.timer, walker.exits))
        shape = walker.place.shape
        options = shape.options if isinstance(shape, Choice) else ()
        runs = walker_runs(readings, walker, options)
        told = tuple((run.start, state_look(run.state)) for run in runs)
        yield Own(walker.name, "walker", walker.place, told)
    for net in _nets(design):
        if net not in hidden:
            yield Own(net.path, _SORTS[net.role], net, _net(reasons, net))
    for timer in design.timers:
        if not timer.part and timer not in hidden:
            runs = timer_runs(readings, timer)
            told = tuple((run.start, state_look(run.state)) for run in runs)
            yield Own(timer.path, "timer", timer, told)


_SORTS = {Role.KEPT: "kept", Role.FREE: "anyone"}


def _nets(design: Design) -> Iterator[Net]:
    found = (net for net in design.nets if not net.part and net.role in _SORTS)
    return iter(sorted(found, key=lambda net: (net.span.start, net.path)))


def _net(reasons: Reasons, net: Net) -> Course:
    def look(tick: int) -> Look:
        value = reasons.readings.at(net.path, tick)
        live = "live" if value and not isinstance(net.shape, Choice) else ""
        return Look(live, _value(net, value))

    return course((tick for tick, _ in reasons.readings.changes[net.path]), look)
