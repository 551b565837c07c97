"""Facts in words: parts, walkers, timers, choices, amounts, and how each came about."""

import pytest

from tests.report.make import system
from verifier.causes.facts import Fact, Kind
from verifier.report.clock import Clock
from verifier.report.phrases import Phrases

WHERE = system("""\
design yard {
  rooms lawn, grotto
  passage lawn <-> grotto takes 1 s
  walker guest starts in lawn
  hand : button
  gate : door(opens: 1 s, shuts: 1 s)
  glow : pulse(2 s)
  bulb : lamp
  gong : bell
  pump : load(needs: 3)
  feed : divider(ways: 2)
  bolt : lever
  flip : latch
  tally : counter(limit: 3)
  keep mood: one of (calm, cross)
  keep turns: count 0..3
  keep pin: flag
  keep rest: timer
  rest loads 2 s when hand
}
""")
PHRASES = Phrases(WHERE.design, Clock(100_000_000))


def fact(path: str, value: int = 1, kind: Kind = Kind.VALUE, since: int = 3) -> Fact:
    return Fact(kind, path, 7, since, 9, value)


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (fact("guest.place", 0), "guest is in lawn"),
        (fact("guest.place", 2), "guest is between lawn and grotto"),
        (fact("guest.on_the_way", 4, Kind.RUNS), "guest is on the way"),
        (fact("guest.on_the_way", 0, Kind.OVER), "guest is there"),
        (fact("glow.left", 4, Kind.RUNS), "glow still has 0.4 s to run"),
        (fact("glow.left", 0, Kind.OVER), "glow has run out"),
        (fact("glow.left", 0, Kind.OVER, since=0), "glow does not run"),
        (fact("glow.left", 20, Kind.STARTED), "glow was started at 0.7 s"),
        (fact("rest", 0, Kind.OVER, since=0), "rest does not run"),
        (fact("mood", 1), "mood stands at cross"),
        (fact("turns", 2), "turns is 2"),
        (fact("tally.value", 2), "tally.value is 2"),
        (fact("feed.way[1]", 3), "feed gives 3 units"),
        (fact("feed.feed", 1), "feed gets 1 unit"),
        (fact("feed.feed", 0), "feed gets nothing"),
        (fact("gate.ajar", 0), "gate is shut"),
        (fact("gate.ajar"), "gate is ajar"),
        (fact("gate.open", 0), "gate is not open"),
        (fact("gong.rings"), "gong rings"),
        (fact("gong.rings", 0), "gong does not ring"),
        (fact("pump.works", 0), "pump does not work"),
        (fact("hand.out"), "hand is live"),
        (fact("flip.inverse", 0), "flip.inverse is not live"),
        (fact("pin"), "pin is live"),
    ],
)
def test_a_fact(one: Fact, words: str) -> None:
    assert PHRASES.fact(one) == words


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (fact("gate.ajar", 0), "gate is still shut"),
        (fact("bulb.lit"), "bulb is still lit"),
        (fact("bulb.lit", 0), "bulb is not yet lit"),
        (fact("pin"), "pin is still live"),
        (fact("pin", 0), "pin is not yet live"),
        (fact("flip.out", 0), "flip is not yet live"),
    ],
)
def test_what_has_long_been_so(one: Fact, words: str) -> None:
    assert PHRASES.fact(one, still=True) == words


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (fact("hand.out"), "by hand"),
        (fact("glow.left", 20, Kind.STARTED), "by glow"),
        (fact("bulb.lit", 0), "as bulb is no longer lit"),
        (fact("gate.open", 0), "as gate is no longer open"),
        (fact("gate.ajar", 0), "as gate is shut"),
        (fact("gong.rings", 0), "as gong does not ring"),
        (fact("hand.out", 0), "as hand goes dead"),
        (fact("pin", 0), "as pin goes dead"),
        (fact("feed.way[1]", 0), "as feed gives nothing"),
        (fact("glow.left", 0, Kind.OVER), "as glow has run out"),
    ],
)
def test_by_what_something_came_about(one: Fact, words: str) -> None:
    assert PHRASES.turn(one) == words


@pytest.mark.parametrize(
    ("path", "never", "always"),
    [
        ("gate.open", "gate is never open", "gate is always open"),
        ("bulb.lit", "bulb is never lit", "bulb is always lit"),
        ("flip.out", "flip is never live", "flip is always live"),
        ("flip.inverse", "flip.inverse is never live", "flip.inverse is always live"),
        ("pin", "pin is never live", "pin is always live"),
    ],
)
def test_what_is_never_so(path: str, never: str, always: str) -> None:
    net = PHRASES.nets[path]
    assert PHRASES.never(net, live=True) == never
    assert PHRASES.never(net, live=False) == always


def test_owners() -> None:
    owners = {path: PHRASES.owner(path) for path in ("guest.place", "gate.left", "rest", "pin")}
    assert owners == {"guest.place": "guest", "gate.left": "gate", "rest": "rest", "pin": "pin"}
