"""The events of a run with the reasons for each, read off the tree of causes.

Told are only the events that the outcome hangs on. What changed last is what an event came about
by; what had long been so stands behind `while`. Parts that answer at once, as gates do, are looked
through to what moved them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from verifier.causes.facts import Fact, Why
from verifier.causes.facts import Kind as FactKind
from verifier.causes.tree import Explained
from verifier.design.model import Net, Part, Role, Timer
from verifier.report.events import Event, Kind
from verifier.report.phrases import Phrases
from verifier.source.text import Span

_MOST = 2  # reasons of a sort in one line

Place = tuple[str, int]  # whom an event is about, and from which tick on it is so


@dataclass(frozen=True, slots=True)
class Because:
    """Finds the reasons of events in one explained run."""

    explained: Explained
    phrases: Phrases
    events: Sequence[Event]

    def told(self) -> list[Event]:
        """Return what people did and what the outcome hangs on, each event with its reasons."""
        found: dict[Place, list[Why]] = {}
        for why in self.explained.facts:
            if not self._comes_in(why.fact):  # what comes in is no event of the part
                found.setdefault(self._place(why.fact), []).append(why)
        if not found:
            return list(self.events)
        places = {self._about(event) for event in self.events}
        told: list[Event] = []
        done: set[Place] = set()
        for event in self.events:
            place = self._about(event)
            if event.kind is Kind.PRESS and event.starts:  # its length tells when it is let go
                told.append(self._held(event))
                done.add(place)
            elif event.kind in (Kind.START, Kind.BREAK, Kind.GOAL):
                told.append(event)
            elif event.kind is Kind.CHANGE and place in found and place not in done:
                told.append(self._with_reasons(event, found[place], places))
                done.add(place)
        return _at_once(told)

    def _about(self, event: Event) -> Place:
        return self.phrases.owner(event.about), event.seen

    def _place(self, fact: Fact) -> Place:
        late = 1 if fact.kind is FactKind.STARTED else 0
        return self.phrases.owner(fact.path), fact.since + late

    def _comes_in(self, fact: Fact) -> bool:
        net = self.phrases.nets.get(fact.path)
        return net is not None and net.role is Role.IN

    # --- people ---

    def _held(self, event: Event) -> Event:
        """Return a press with how long it lasts, where that is more than a tick."""
        readings = self.explained.reasons.readings
        for free in self.phrases.design.free:
            path = free.net.path
            if not event.starts or self.phrases.owner(path) != self.phrases.owner(event.about):
                continue
            after = (tick for tick, _ in readings.changes[path] if tick > event.tick)
            until = next(after, self.explained.tick + 1)
            if until > self.explained.tick:
                long = until - event.tick > 1
                return replace(event, words=f"{event.words} and holds it") if long else event
            if until - event.tick > 1:
                span = self.phrases.clock.span(until - event.tick)
                return replace(event, words=f"{event.words} and holds it for {span}")
        return event

    # --- parts ---

    def _with_reasons(self, event: Event, whys: Sequence[Why], places: set[Place]) -> Event:
        reasons, inside = self._reasons(event, whys, places)
        line = self._line(event, inside)
        if self._ran_out(event):
            return replace(event, line=line)
        recent = [one for one in reasons if self._is_recent(one, event, places)]
        older = [one for one in reasons if one not in recent and self._is_telling(one)]
        by = list(dict.fromkeys(map(self.phrases.turn, recent)))[:_MOST]
        during = list(dict.fromkeys(map(self._while, older)))[:_MOST]
        words = [_turns(by)] if by else []
        words += [f"while {' and '.join(during)}"] if during else []
        return replace(event, reasons=", ".join(words), line=line)

    def _ran_out(self, event: Event) -> bool:
        """Whether a timer of the same owner ends at this tick: time alone brings it about."""
        owner, readings = self.phrases.owner(event.about), self.explained.reasons.readings
        return event.seen > 0 and any(
            readings.left(timer.path, event.seen) == 0 < readings.left(timer.path, event.seen - 1)
            for timer in self.phrases.design.timers
            if self.phrases.owner(timer.path) == owner
        )

    def _is_recent(self, fact: Fact, event: Event, places: set[Place]) -> bool:
        return fact.since >= event.seen - 1 and self._place(fact) in places

    def _is_telling(self, fact: Fact) -> bool:
        """Whether something that had been so is worth a word.

        That nobody pressed goes without saying, and so does what never was otherwise before.
        """
        part = self.phrases.parts.get(self.phrases.owner(fact.path))
        if fact.kind is FactKind.VALUE and not fact.value:
            worked = {free.net.part for free in self.phrases.design.free}
            return part is not None and part.path not in worked
        return not fact.first

    def _while(self, fact: Fact) -> str:
        ends = fact.until <= self.explained.tick
        return self.phrases.fact(fact, still=ends and (fact.first or fact.value > 0))

    def _reasons(
        self, event: Event, whys: Sequence[Why], places: set[Place]
    ) -> tuple[list[Fact], list[Fact]]:
        """Return the nearest facts of others, and those of the owner on the way to them."""
        owner = self.phrases.owner(event.about)
        reasons: dict[Fact, None] = {}
        inside: dict[Fact, None] = {}
        todo, seen = list(whys), set[Fact]()
        while todo:
            why = todo.pop(0)
            if why.fact in seen or why.fact.until < event.seen:
                continue  # what was over by then is only the other half of a start
            seen.add(why.fact)
            place = self._place(why.fact)
            if place[0] == owner:
                inside[why.fact] = None
                if place[1] == event.seen or place not in places or self._comes_in(why.fact):
                    todo.extend(why.causes)
            elif place in places or not why.causes or (why.fact.first and not why.fact.value):
                reasons[why.fact] = None
            else:
                todo.extend(why.causes)
        return list(reasons), list(inside)

    # --- places in the file ---

    def _line(self, event: Event, inside: Sequence[Fact]) -> int:
        """Return the line of the wire or condition that brought it about, else that of the part."""
        file = self.phrases.design.span.source
        return next((span.line for span in self._spans(event, inside) if span.source is file), 0)

    def _spans(self, event: Event, inside: Sequence[Fact]) -> Iterator[Span]:
        for fact in inside:
            net = self.phrases.nets.get(fact.path)
            if net is not None and net.driver is not None:
                yield net.driver
        owner, design = self.phrases.owner(event.about), self.phrases.design
        named: list[Part | Net | Timer] = [*design.parts, *design.nets, *design.timers]
        yield from (one.span for one in named if one.path == owner)


def _turns(words: Sequence[str]) -> str:
    """Join what brings something about: `by` is said once."""
    first, *more = words
    alike = all(one.startswith("by ") for one in words)
    return " and ".join([first, *(one.removeprefix("by ") if alike else one for one in more)])


def _at_once(events: Sequence[Event]) -> list[Event]:
    """Return events with presses of one tick, told in the same words, put in one line."""
    told: list[Event] = []
    for event in events:
        last = told[-1] if told else None
        if last is not None and _same_act(last, event):
            names = f"{last.about} and {event.about}"
            head = event.words.removesuffix(event.about)
            told[-1] = replace(last, words=f"{head}{names} at once", about=names)
        else:
            told.append(event)
    return told


def _same_act(last: Event, event: Event) -> bool:
    heads = [one.words.removesuffix(one.about) for one in (last, event)]
    pair = last.kind is Kind.PRESS is event.kind and last.tick == event.tick
    return pair and heads[0] == heads[1] != event.words
