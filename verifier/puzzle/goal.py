"""What a puzzle is about: a goal, asked of a design, maybe with more people in it.

A goal is the name of a claim that says that something is, or is always, possible, or no sooner than
some time; or a condition in the words of the language. A condition becomes one more claim of the
design before its names are resolved, so it may name whatever a claim may.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from verifier.design import model
from verifier.design.resolve import Wishes, resolve
from verifier.design.scope import Unit
from verifier.source.diagnostic import Collector, Diagnostic
from verifier.source.text import Source, Span
from verifier.syntax import tree
from verifier.syntax.parse import parse
from verifier.system.expr import Node
from verifier.system.lower import lower
from verifier.system.model import Form, Question, System

_HEAD, _TAIL = "design goal { claim goal: possible\n", "\n}"
_WORD = re.compile(r"[A-Za-z_]\w*")


@dataclass(frozen=True, slots=True, eq=False)
class Goal:
    """A goal of a design: `question` asks whether it is possible at all, without a time limit.

    `words` are those of the person, `limit` the ticks within which the claim wants it (None: it
    does not say). `system.design.claims` holds the goal alone.
    """

    system: System
    question: Question
    words: str
    limit: int | None

    @property
    def node(self) -> Node:
        """What is live where the goal is reached."""
        return self.question.goal

    def always(self) -> Question:
        """Return the question whether the goal stays possible, whatever was done before."""
        return replace(self.question, form=Form.OPEN)


def goal_of(
    block: tree.Block,
    unit: Unit,
    words: str,
    collector: Collector,
    wishes: Wishes | None = None,
    *,
    walkers: int = 1,
) -> Goal | None:
    """Return the goal that the words name in a design; None where anything is wrong, and told.

    With `walkers` each walker of the design is there so many times, all in the same room at first;
    the others are called `guest_2`, `guest_3` ... The goal and the claims are still about the one.
    """
    words = " ".join(words.split())
    block = replace(block, body=_crowd(block.body, walkers, set(_WORD.findall(unit.source.text))))
    plain = resolve(block, unit, collector, wishes)
    if plain is None:
        return None
    named = next((one for one in plain.claims if one.name == words), None)
    found = None if named is None else _wanted(named.sentence)
    if named is not None and found is not None:
        return _asked(plain, named, words, found)
    added = _claim_of(words, collector, set(_WORD.findall(unit.source.text)))
    if added is None:
        return None
    told = Collector()
    whole = resolve(replace(block, body=(*block.body, added)), unit, told, wishes)
    _tell(told, collector, words)
    if whole is None:
        return None
    claim = whole.claims[-1]
    wanted = _wanted(claim.sentence)
    return None if wanted is None else _asked(whole, claim, words, wanted)


def _asked(
    whole: model.Design, claim: model.Claim, words: str, wanted: tuple[model.Cond, int | None]
) -> Goal:
    what, limit = wanted
    sentence = model.Possible(what, None, whatever=False)
    alone = replace(claim, sentence=sentence, built_in=None)
    system = lower(replace(whole, claims=(alone,)))
    return Goal(system, system.questions[0], words, limit)


def _wanted(sentence: model.Sentence) -> tuple[model.Cond, int | None] | None:
    """Return what a claim says is possible, and within how many ticks; None for other claims."""
    match sentence:
        case model.Possible(what, limit) | model.AlwaysPossible(what, limit):
            return what, limit
        case model.NoSooner(what):
            return what, None
        case _:
            return None


# --- a condition ---------------------------------------------------------------------------------


def _claim_of(words: str, collector: Collector, taken: set[str]) -> tree.Claim | None:
    """Read a condition as a claim that it is possible, under a name that the design has not."""
    told = Collector()
    file = parse(Source("GOAL", f"{_HEAD}{words}{_TAIL}"), told)
    _tell(told, collector, words)
    if file is None:
        return None
    match [block.body for block in file.blocks]:
        case [[tree.Claim(sentence=tree.Possible(limit=None, whatever=False)) as claim]]:
            return replace(claim, name=tree.Declared(_free("goal", taken), span=claim.name.span))
        case _:
            collector.add(_no_condition(words))
            return None


def _no_condition(words: str) -> Diagnostic:
    source = Source("GOAL", words)
    return Diagnostic(
        "unreadable",
        "a goal is one condition",
        Span(source, 0, len(words)),
        mend="write what is to be reached, such as `guest is in vault`, and nothing else",
    )


def _tell(told: Collector, collector: Collector, words: str) -> None:
    """Pass on what was told of a goal, with the places that it has in the words alone."""
    source = Source("GOAL", words)

    def moved(span: Span | None) -> Span | None:
        if span is None or span.source.name != "GOAL":
            return span
        start, end = (min(max(at - len(_HEAD), 0), len(words)) for at in (span.start, span.end))
        return Span(source, start, end)

    for one in told.found:
        labels = tuple(replace(label, span=moved(label.span) or label.span) for label in one.labels)
        collector.add(replace(one, span=moved(one.span), labels=labels))


# --- more people ---------------------------------------------------------------------------------


def _crowd(
    body: Sequence[tree.Statement], walkers: int, taken: set[str]
) -> tuple[tree.Statement, ...]:
    """Return statements with each walker so many times."""
    found: list[tree.Statement] = []
    for one in body:
        match one:
            case tree.Walker(name=name) if walkers > 1:
                names = [name.name, *_more(name.name, walkers, taken)]
                found += [replace(one, name=replace(name, name=each)) for each in names]
            case tree.For(body=inner):
                found.append(replace(one, body=_crowd(inner, walkers, taken)))
            case _:
                found.append(one)
    return tuple(found)


def _more(name: str, walkers: int, taken: set[str]) -> list[str]:
    return [_free(f"{name}_{number}", taken) for number in range(2, walkers + 1)]


def _free(name: str, taken: set[str]) -> str:
    while name in taken:
        name = f"{name}_"
    taken.add(name)
    return name
