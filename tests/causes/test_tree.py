"""Causes of random runs: every line true by replay, every cause changes the outcome.

Runs are those of random designs (tests/strategies/gardens) whose claims fail; replay and change go
through the reference simulator, tick by tick, not through the jumps by which causes were found.
"""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, event, given, settings

from tests.design.make import resolved
from tests.report.make import VESTIBULE, question, system, trace
from tests.strategies.gardens import gardens
from verifier.causes.facts import Fact, Kind
from verifier.causes.levers import Levered, Pulled, bench, levered
from verifier.causes.tree import Explained, explain
from verifier.design.model import Choice
from verifier.engines.decide import Decider, Effort
from verifier.simulate.variations import Variations, shortened
from verifier.simulate.watch import watch
from verifier.system.cone import whole
from verifier.system.expr import Node
from verifier.system.fold import evaluate
from verifier.system.lower import lower
from verifier.system.model import Form, Question, System
from verifier.system.program import program
from verifier.system.state import State, Step, start_of
from verifier.verdict.answer import Verdict
from verifier.verdict.replay import replay
from verifier.verdict.trace import Trace

WHERE = system(VESTIBULE)
APART = trace(WHERE, (1, {"ask_out.hand": 1, "ask_in.hand": 1}), (2, {}))


def explained(where: System, asked: Question, run: Trace) -> Explained:
    target = asked.goal if asked.form is Form.REACH else asked.bad
    return explain(where, asked, run, watch(where, run, target).readings)


# --- the vestibule, by hand -----------------------------------------------------------------------


def test_the_vestibule_is_explained_down_to_both_presses() -> None:
    found = explained(WHERE, question(WHERE, "apart"), APART)
    facts = {(why.fact.kind, why.fact.path, why.fact.since) for why in found.facts}
    assert [fact.path for fact in found.grounds] == ["outer.ajar", "inner.ajar"]
    for name, pulse in (("ask_out", "open_out"), ("ask_in", "open_in")):
        assert (Kind.VALUE, f"{name}.hand", 0) in facts
        assert (Kind.STARTED, f"{pulse}.left", 0) in facts
    assert (Kind.VALUE, "inner.ajar", 0) in facts  # each request looks at a door still shut
    assert (Kind.VALUE, "outer.ajar", 0) in facts


def test_each_cause_leads_down_to_those_behind_it() -> None:
    found = explained(WHERE, question(WHERE, "apart"), APART)
    outer = next(why for why in found.causes if why.fact.path == "outer.ajar")
    names = [outer.fact.path]
    while outer.causes:
        outer = outer.causes[0]
        names.append(outer.fact.path)
    assert names[0] == "outer.ajar"
    assert names[-1] == "ask_out.hand"
    assert names.index("outer.feed") < names.index("open_out.left") < names.index("open_out.start")


def test_what_is_wired_to_it_has_no_say() -> None:
    found = explained(WHERE, question(WHERE, "apart"), APART)
    assert not {"mains.out", "feed.way[1]"} & {why.fact.path for why in found.facts}


def test_causes_of_any_moment() -> None:
    reasons = explained(WHERE, question(WHERE, "apart"), APART).reasons
    for net in WHERE.design.nets:
        for tick in range(3):
            fact = reasons.at(net.path, tick)
            assert fact.value == reasons.readings.at(net.path, tick)
            assert all(one.tick <= tick for one in reasons.behind(fact))


# --- random designs -------------------------------------------------------------------------------


@settings(suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow], deadline=None)
@given(gardens())
def test_every_line_is_true_and_every_cause_matters(text: str) -> None:
    design, _ = resolved(text)
    assume(design is not None)
    assert design is not None
    where = lower(design)
    decider = Decider(where, Effort(seconds=0.1))
    for asked in where.questions:
        if asked.form not in (Form.AVOID, Form.REACH):
            continue
        outcome = shortened(where, asked, decider.decide(asked))
        if outcome.trace is None:
            continue
        event(f"{asked.form.value}: {outcome.verdict.value}")
        check_run(where, asked, outcome.trace, fails=outcome.verdict is Verdict.FAILS)


def check_run(where: System, asked: Question, run: Trace, *, fails: bool) -> None:
    target = asked.goal if asked.form is Form.REACH else asked.bad
    assert replay(where, run, target, anywhere=asked.anywhere).ruling.sound
    found = explained(where, asked, run)
    made = levered(where.design)
    states = played(where, run)
    for why in found.facts:
        assert is_true(where, states, run, why.fact), why.fact
        assert matters(made, asked, run, found, why.fact), why.fact
    if fails:
        presses_matter(where, asked, run)


def played(where: System, run: Trace) -> list[State]:
    """Return the state at each tick of a run and one after, by the reference simulator."""
    ticker = program(whole(where))
    states = [run.start or start_of(where)]
    for step in run.steps:
        for _ in range(step.ticks):
            states.append(ticker.step(states[-1], step.choices, step.draws)[0])
    return states


def is_true(where: System, states: list[State], run: Trace, fact: Fact) -> bool:
    bits = where.shown[fact.path]
    if bits.timer is not None:
        shown = [state.clocks[bits.timer] for state in states]
        if fact.kind is Kind.STARTED:
            return shown[fact.tick + 1] == fact.value
        above = fact.kind is Kind.RUNS
        return all((shown[t] > fact.bound) is above for t in range(fact.since, fact.tick + 1))
    ticks = range(fact.since, min(fact.until, run.length))
    values = [read(where, fact, run, states, tick) for tick in ticks]
    return set(values) == {fact.value} and fact.tick in ticks


def read(where: System, fact: Fact, run: Trace, states: list[State], tick: int) -> int:
    bits = where.shown[fact.path]
    reader, state, step = program(whole(where, bits.nodes)), states[tick], step_at(run, tick)
    _, _, live = reader.tick(state.registers, state.clocks, step.choices, step.draws)
    shape = next(net.shape for net in where.design.nets if net.path == fact.path)
    if isinstance(shape, Choice):
        return next((place for place, one in enumerate(live) if one), 0)
    return bits.low + sum(live)


def step_at(run: Trace, tick: int) -> Step:
    for step in run.steps:
        if tick < step.ticks:
            return step
        tick -= step.ticks
    raise AssertionError(tick)


def matters(made: Levered, asked: Question, run: Trace, found: Explained, fact: Fact) -> bool:
    """Pull the lever in the reference simulator and look whether the outcome stays where it was."""
    own = next(one for one in made.system.questions if one.name == asked.name)
    target = own.goal if asked.form is Form.REACH else own.bad
    changed = fact.kind is Kind.VALUE and fact.since > 0
    before = found.reasons.readings.at(fact.path, fact.since - 1) if changed else None
    pulled = bench(made, run, target).otherwise(fact, before)
    assert pulled is not None
    return first_in_reference(made, target, run, pulled) != run.length - 1


def first_in_reference(made: Levered, target: Node, run: Trace, pulled: Pulled) -> int | None:
    calm = replace(made.system, allowed=made.system.pool.yes)
    ticker, at = program(whole(calm, (target,))), start_of(calm)
    names = [choice.name for choice in calm.choices]
    for tick in range(run.length):
        step = step_at(run, tick)
        choices = [*step.choices, *([0] * (len(calm.choices) - len(step.choices)))]
        if pulled.start <= tick < pulled.stop:
            index = made.levers.get(pulled.path)
            choices[names.index(pulled.path) if index is None else index] = pulled.option
        draws = fitted(calm, at, choices, step.draws)
        registers, clocks, values = ticker.tick(at.registers, at.clocks, choices, draws)
        if values[0]:
            return tick
        at = State(registers, clocks)
    return None


def fitted(
    where: System, at: State, choices: list[int], wished: tuple[int, ...]
) -> tuple[int, ...]:
    """Return draws that the loads taken can have, as near to those of the run as can be."""
    draws = [*wished, *([0] * len(where.clocks))][: len(where.clocks)]
    for index, clock in enumerate(where.clocks):
        if clock.ranged:
            live = evaluate([load.when for load in clock.loads], choices, at.registers, at.clocks)
            taken = next((one for one in clock.loads if live[one.when.number]), None)
            if taken is not None:
                draws[index] = max(taken.low, min(taken.high, draws[index]))
    return tuple(draws)


def presses_matter(where: System, asked: Question, run: Trace) -> None:
    near = Variations.of(where, asked.bad, run, anywhere=asked.anywhere)
    assert near.meets(near.plan) == run.length - 1
    for press in near.plan.presses:
        at = near.without(press)
        assert at is None or at >= run.length - 1, "a press that is not needed was left"


@pytest.mark.parametrize("tick", range(3))
def test_a_lever_at_rest_changes_nothing(tick: int) -> None:
    made = levered(WHERE.design)
    asked = next(one for one in made.system.questions if one.name == "apart")
    played_again = bench(made, APART, asked.bad)
    assert played_again.first([]) == 2
    assert played_again.first([Pulled("outer.ajar", 0, tick, tick + 1)]) == 2
