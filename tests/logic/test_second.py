"""The second solver: asked the same, in a text of its own, and heard."""

from collections.abc import Callable

import pytest

from tests.bank.plants import too_long
from tests.engines.zones.workshop import budget, task
from tests.properties.plants import plant
from verifier.engines.zones import Zones
from verifier.logic import second
from verifier.logic.judge import Case, judge
from verifier.logic.native import Result, Room, SolverError
from verifier.logic.terms import Terms
from verifier.logic.tick import Limits, any_tick, next_tick, values
from verifier.system.cone import whole
from verifier.system.expr import Node
from verifier.system.model import System
from verifier.verdict.evidence import Invariant
from verifier.verdict.ruling import Finding

BOTH = Limits(steps=20_000_000, seconds=20, second=True)
here = pytest.mark.skipif(not second.installed(), reason="there is no second solver")


def proof() -> tuple[Case, Invariant]:
    pulse = too_long(60, 60, None)
    found = Zones().run(task(pulse.system, pulse.target), budget(2.0))
    assert isinstance(found, Invariant)
    return Case(pulse.system, pulse.target, anywhere=False), found


@here
def test_both_accept_what_is_so() -> None:
    assert judge(*proof(), BOTH).ruling.by == ("z3", "cvc5")


def stays(system: System, target: Node) -> Callable[[Terms], None]:
    """Ask: is there an allowed tick with the target, after which it is still there?"""
    part = whole(system)

    def build(room: Terms) -> None:
        tick = any_tick(room, part)
        after = next_tick(room, part, tick)
        for term in (*values(room, tick, [target, system.allowed]), *values(room, after, [target])):
            room.claim(term)

    return build


@here
def test_both_say_the_same_of_single_ticks() -> None:
    said = set()
    for seed in range(25):
        build = stays(*plant(seed))
        with Room() as room:
            build(room)
            first = room.check()
        assert second.ask(build, 20) is first
        said.add(first)
    assert said == {Result.SAT, Result.UNSAT}


def test_one_that_disagrees_makes_it_wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(second, "ask", lambda _build, _seconds: Result.SAT)
    ruling = judge(*proof(), BOTH).ruling
    assert ruling.finding is Finding.WRONG
    assert "second solver" in ruling.words


def test_one_that_cannot_say_is_not_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(second, "ask", lambda _build, _seconds: Result.UNKNOWN)
    ruling = judge(*proof(), BOTH).ruling
    assert ruling.sound
    assert ruling.by == ("z3",)


def test_where_there_is_none_nobody_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(second, "installed", lambda: False)
    assert judge(*proof(), BOTH).ruling.by == ("z3",)


@here
def test_a_text_that_cannot_be_read_is_a_fault() -> None:
    with pytest.raises(SolverError):
        second.answer("(set-logic QF_LIA)\n(assert (frob))\n(check-sat)\n", 5)


def test_a_text_keeps_what_is_shared() -> None:
    script = second.Script()
    flag = script.flag()
    both = script.and_((flag, script.not_(flag)))
    assert script.and_((flag, script.not_(flag))) == both
    script.claim(script.or_((both, script.above(script.number(-3), 2))))
    assert script.text().count("define-fun") == 4
    assert "(- 3)" in script.text()
