"""What sentences mean, written down a second time and as plainly as it can be.

Everything here follows the table of claims in docs/semantics.md word by word, with quantifiers over
ticks and no memory, no clock and no monitor; it is slow on purpose. A run is a list of rows, one a
tick, of what is live. `broken` asks whether the run *so far* breaks a sentence already, whatever
may come; `broken_for_ever` asks the same of a run that goes round for ever.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from verifier.design.model import (
    After,
    And,
    AtMostTimes,
    Cond,
    Edge,
    Eventually,
    FromUntil,
    Lasts,
    LeadsTo,
    Live,
    Never,
    NoSooner,
    Not,
    OnlyAfter,
    OnlyWhile,
    Or,
    Returns,
    Sentence,
    Truth,
    While,
)

Row = frozenset[str]
Rows = Sequence[Row]


@dataclass(frozen=True)
class Run:
    """Ticks `start` up to, not with, `end` of the rows, in which a sentence is judged.

    `shut`: the scope shut at tick `end`, which is among the rows. `endless`: it never shuts, and
    the rows that follow repeat the last `period` ones for ever. Neither: nobody knows yet.
    """

    rows: Rows
    start: int
    end: int
    shut: bool = False
    endless: bool = False
    period: int = 0

    @property
    def ticks(self) -> range:
        return range(self.start, self.end)


def holds(condition: Cond, rows: Rows, tick: int) -> bool:
    """Whether a condition holds at a tick; `starts` and `ends` are about the whole of time."""
    match condition:
        case Truth(value):
            return value
        case Live(net):
            return net.path in rows[tick]
        case Not(inner):
            return not holds(inner, rows, tick)
        case And(parts):
            return all(holds(part, rows, tick) for part in parts)
        case Or(parts):
            return any(holds(part, rows, tick) for part in parts)
        case Edge(inner, rising=True):
            return holds(inner, rows, tick) and (tick == 0 or not holds(inner, rows, tick - 1))
        case Edge(inner):
            return not holds(inner, rows, tick) and tick > 0 and holds(inner, rows, tick - 1)
        case _:
            raise AssertionError(f"the table knows no {condition}")


def starts(condition: Cond, run: Run, tick: int) -> bool:
    """Whether it starts in the run: what stands at the first tick of the run starts there."""
    if not holds(condition, run.rows, tick):
        return False
    return tick == run.start or not holds(condition, run.rows, tick - 1)


def stretches(condition: Cond, run: Run) -> list[tuple[int, int, bool]]:
    """All stretches in the run: first tick, tick after the last, whether that is in the run."""
    found = []
    for first in run.ticks:
        if starts(condition, run, first):
            after = first
            while after < run.end and holds(condition, run.rows, after):
                after += 1
            found.append((first, after, after < run.end))
    return found


def scopes(sentence: While | After | FromUntil, run: Run) -> Iterator[Run]:
    """The runs that a scope makes of a run."""
    pieces: list[tuple[int, int]] = []
    match sentence:
        case While(condition):
            pieces = [(first, after) for first, after, _ in stretches(condition, run)]
        case After(condition):
            first = next((t for t in run.ticks if holds(condition, run.rows, t)), None)
            pieces = [] if first is None else [(first, run.end)]
        case FromUntil(opens, shuts):
            tick = run.start
            while tick < run.end:
                if holds(opens, run.rows, tick) and not holds(shuts, run.rows, tick):
                    after = tick
                    while after < run.end and not holds(shuts, run.rows, after):
                        after += 1
                    pieces.append((tick, after))
                    tick = after
                else:
                    tick += 1
    for first, after in pieces:
        ended = after < run.end
        lasting = run.endless and not ended and first <= run.end - run.period
        yield Run(run.rows, first, after, ended or run.shut, lasting, run.period)


def some_scope(sentence: Sentence, run: Run, judge: Callable[[Sentence, Run], bool]) -> bool:
    """Whether the judge says yes to the sentence in one of the runs that its scopes make."""
    match sentence:
        case While(inner=inner) | After(inner=inner) | FromUntil(inner=inner):
            return any(some_scope(inner, part, judge) for part in scopes(sentence, run))
        case _:
            return judge(sentence, run)


def judged(sentence: Sentence, run: Run) -> bool:
    """Whether the run breaks a sentence without scopes."""
    match sentence:
        case Never() | OnlyWhile() | NoSooner():
            return any(forbidden(sentence, run, t) for t in run.ticks)
        case Lasts() | Returns():
            return uneven(sentence, run)
        case LeadsTo(cause, effect, limit):
            asked = [t for t in run.ticks if holds(cause, run.rows, t)]
            return any(unanswered(effect, run, t, limit) for t in asked)
        case Eventually(what, limit):
            return run.start < run.end and unanswered(what, run, run.start, limit)
        case AtMostTimes(what, number, window):
            begun = [t for t in run.ticks if starts(what, run, t)]
            return any(
                sum(first <= t < first + window for t in begun) > number for first in run.ticks
            )
        case OnlyAfter(what):
            used = [t for t in run.ticks if starts(what, run, t)]
            return any(not earned(sentence, run, t) for t in used)
        case _:
            raise AssertionError(f"the table knows no {sentence}")


def forbidden(sentence: Never | OnlyWhile | NoSooner, run: Run, tick: int) -> bool:
    """Whether what holds at one tick is enough to break the sentence."""
    if not holds(sentence.what, run.rows, tick):
        return False
    match sentence:
        case Never():
            return True
        case OnlyWhile(condition=condition):
            return not holds(condition, run.rows, tick)
        case NoSooner(limit=limit):
            return tick - run.start < limit


def uneven(sentence: Lasts | Returns, run: Run) -> bool:
    """Whether a stretch or a gap has a length that it must not have."""
    match sentence:
        case Lasts(what, least, most):
            return any(
                (least is not None and ended and after - first < least)
                or (most is not None and after - first > most)
                for first, after, ended in stretches(what, run)
            )
        case Returns(what, int(limit)):
            return any(after - first > limit for first, after, _ in stretches(Not(what), run))
        case Returns(what):
            last_round = range(run.end - run.period, run.end)
            return run.endless and not any(holds(what, run.rows, t) for t in last_round)


def unanswered(effect: Cond, run: Run, asked: int, limit: int | None) -> bool:
    """Whether `effect` is known to be missing from a tick on, to `limit` ticks later."""
    if limit is None:
        over = run.shut or (run.endless and asked <= run.end - run.period)
        return over and not any(holds(effect, run.rows, t) for t in range(asked, run.end))
    last = asked + limit
    return last < run.end and not any(holds(effect, run.rows, t) for t in range(asked, last + 1))


def earned(sentence: OnlyAfter, run: Run, use: int) -> bool:
    """Whether some chain of starts leads up to the use."""

    def chain(step: int, before: int | None) -> bool:
        """Whether the steps from this one on can be placed, the one before it at `before`."""
        if step == len(sentence.links):
            assert before is not None
            return sentence.limit is None or use - before <= sentence.limit
        link = sentence.links[step]
        return any(
            starts(link.what, run, t)
            and (before is None or t > before)
            and (before is None or link.limit is None or t - before <= link.limit)
            and chain(step + 1, t)
            for t in range(run.start, use + 1)
        )

    return chain(0, None)


def broken(sentence: Sentence, rows: Rows) -> bool:
    """Whether a run that has come so far breaks the sentence already."""
    return some_scope(sentence, Run(rows, 0, len(rows)), judged)


def broken_for_ever(sentence: Sentence, stem: Rows, loop: Rows, longest: int) -> bool:
    """Whether the endless run of the stem and then the loop again and again breaks the sentence.

    `longest` is the longest time in the sentence: what can break it breaks it within that and some
    rounds.
    """
    rounds = 4 + 2 * longest
    rows = [*stem, *(list(loop) * rounds)]
    endless = Run(rows, 0, len(rows), endless=True, period=len(loop))
    return some_scope(sentence, endless, judged)


def tested(sentence: Sentence, rows: Rows) -> bool:
    """Whether the run so far puts the sentence to the test, by its form."""

    def asked(inner: Sentence, run: Run) -> bool:
        match inner:
            case Lasts(what) | AtMostTimes(what) | OnlyAfter(what) | OnlyWhile(what):
                return any(holds(what, run.rows, t) for t in run.ticks)
            case LeadsTo(cause):
                return any(holds(cause, run.rows, t) for t in run.ticks)
            case _:
                return run.start < run.end

    return some_scope(sentence, Run(rows, 0, len(rows)), asked)
