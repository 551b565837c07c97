"""Why a run came about, as plain data: the story line by line, the causes, the presses it needs."""

from collections.abc import Iterator

from verifier.causes.facts import Fact, Why
from verifier.causes.tree import Explained
from verifier.report.events import Event
from verifier.report.plain_data import Json, milliseconds
from verifier.report.story import story
from verifier.report.trace_record import trace_record
from verifier.simulate.variations import Variations
from verifier.system.model import System
from verifier.verdict.answer import Answer


def why_record(system: System, answer: Answer) -> Json:
    """Return the reasons for an answer; None for one that rests on no run."""
    told, tick_ns = story(system, answer), system.design.tick_ns
    if told is None:
        return None
    another = answer.outcome.lasso is None and told.trace != answer.outcome.trace
    return {
        "trace": trace_record(system, told.trace) if another else None,
        "lines": [_line(event, tick_ns) for event in told.events],
        "causes": [] if told.explained is None else _causes(told.explained, tick_ns),
        "presses": []
        if told.near is None or told.near.many
        else list(_presses(told.near, tick_ns)),
        "said": [*filter(None, (told.other,)), *told.needs],
    }


def _line(event: Event, tick_ns: int) -> Json:
    return {
        "at_ms": milliseconds(event.tick, tick_ns),
        "kind": event.kind.value,
        "about": event.about,
        "words": event.words,
        "reasons": event.reasons,
        "line": event.line or None,
    }


def _causes(explained: Explained, tick_ns: int) -> list[Json]:
    facts = explained.facts
    place = {why.fact: number for number, why in enumerate(facts)}
    return [_cause(why, [place[one.fact] for one in why.causes], tick_ns) for why in facts]


def _cause(why: Why, behind: list[int], tick_ns: int) -> Json:
    fact: Fact = why.fact
    return {
        "path": fact.path,
        "kind": fact.kind.value,
        "value": fact.value,
        "from_ms": milliseconds(fact.since, tick_ns),
        "to_ms": milliseconds(fact.until, tick_ns),
        "by": list[Json](behind),
    }


def _presses(near: Variations, tick_ns: int) -> Iterator[Json]:
    """Yield each press with whether it is needed and by how much it may come sooner or later."""
    for place, press in enumerate(near.plan.presses):
        choice = near.system.choices[near.machine.cone.choices[press.choice]]
        room = near.room(place)
        yield {
            "choice": choice.name,
            "option": choice.options[press.option],
            "from_ms": milliseconds(press.start, tick_ns),
            "to_ms": milliseconds(press.stop, tick_ns),
            "needed": near.without(press) is None,
            "sooner_ms": milliseconds(room.sooner, tick_ns),
            "later_ms": milliseconds(room.later, tick_ns),
            "alone": room.alone,
        }
