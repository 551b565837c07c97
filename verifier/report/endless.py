"""An endless run in words: how it goes on, and who waits for what."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from verifier.causes.endless import Missed, Waiting
from verifier.causes.facts import Fact, Kind
from verifier.report.events import Event
from verifier.report.events import Kind as EventKind
from verifier.report.phrases import Phrases
from verifier.report.readings import leaf_nets

_MOST = 4  # sentences on who waits for whom
_MOST_REASONS = 3  # in one of them
_MOST_MISSED = 2


@dataclass(frozen=True, slots=True)
class Endless:
    """Tells why a run waits for ever."""

    waiting: Waiting
    phrases: Phrases

    def end(self) -> Event:
        """Return the last line of the run: that it goes on so for ever."""
        waiting, clock = self.waiting, self.phrases.clock
        reasons = waiting.explained.reasons
        at = waiting.back + waiting.period
        facts = [one for one in reasons.settled(waiting.missing, at) if one.tick == at]
        so = " and ".join(dict.fromkeys(map(self._fact, facts)))
        how = "and so on for ever"
        if not waiting.still:
            how = f"and so on for ever, again every {clock.span(waiting.period)}"
        return Event(waiting.back, EventKind.BREAK, f"{how}: {so}" if so else how)

    def sentences(self) -> Iterator[str]:
        """Yield who waits for what, and what people should not have done."""
        for missed in self.waiting.missed[:_MOST_MISSED]:
            yield self._missed(missed)
        told = [*self._lines()]
        yield from told[:_MOST]
        if self.waiting.still:
            yield "Nothing changes any more."

    def _missed(self, missed: Missed) -> str:
        phrases = self.phrases
        who, at = phrases.owner(missed.path), phrases.clock.moment(missed.tick)
        what, start = phrases.owner(missed.timer), phrases.clock.moment(missed.start)
        act = f"the move of {who}" if missed.path in phrases.walkers else who
        does = "starts" if self._is_timer(missed.timer) else "moves"
        return f"Without {act} at {at}, {what} {does} at {start}."

    def _lines(self) -> Iterator[str]:
        phrases, waiting = self.phrases, self.waiting
        at = waiting.back + waiting.period
        missing = waiting.explained.reasons.settled(waiting.missing, at)
        owners = {phrases.owner(one.path) for one in missing}
        roots = self._told(waiting.roots, owners)
        if roots:
            yield f"It waits because {roots}."
        done = set[str]()
        for one in waiting.stays:
            owner = phrases.owner(one.fact.path)
            by = self._told(one.by, {owner})
            if one.fact.path in phrases.walkers and not by:
                by = self._told([fact for fact in one.by if self._is_hand(fact)], ())
            if by and owner not in done:
                done.add(owner)
                yield f"{self._stays(one.fact, owner)}: {by}."

    def _stays(self, fact: Fact, owner: str) -> str:
        if fact.kind is Kind.OVER and self._is_timer(fact.path):
            return f"Nothing starts {owner}{' again' if fact.since else ''}"
        return f"{owner} stays {'there' if fact.path in self.phrases.walkers else 'as it is'}"

    def _is_timer(self, path: str) -> bool:
        part = self.phrases.parts.get(self.phrases.owner(path))
        return path not in self.phrases.walkers and (part is None or leaf_nets(part) is None)

    def _told(self, facts: Sequence[Fact], but: Collection[str]) -> str:
        """Return facts in words, one for each owner but those; what people do comes last."""
        words: dict[str, str] = {}
        for fact in sorted(facts, key=self._is_hand, reverse=True):
            words.setdefault(self.phrases.owner(fact.path), self._fact(fact))
        hands = {self.phrases.owner(fact.path) for fact in facts if self._is_hand(fact)}
        names = sorted((name for name in words if name not in but), key=hands.__contains__)
        told = [words[name] for name in names[:_MOST_REASONS]]
        return " and ".join([", ".join(told[:-1]), told[-1]]) if len(told) > 1 else "".join(told)

    def _is_hand(self, fact: Fact) -> bool:
        return any(free.net.path == fact.path for free in self.phrases.design.free)

    def _fact(self, fact: Fact) -> str:
        if self._is_hand(fact):
            return self._hand(fact)
        if fact.kind is Kind.OVER and not self._is_timer(fact.path):
            return f"{self.phrases.owner(fact.path)} does not move"
        return self.phrases.fact(fact)

    def _hand(self, fact: Fact) -> str:
        owner = self.phrases.owner(fact.path)
        if fact.path in self.phrases.walkers:
            return f"{owner} need not go on" if not fact.value else f"{owner} goes on"
        return f"someone works {owner}" if fact.value else f"nobody works {owner}"
