"""That none is sooner is said only where it is so, and not tried where it cannot come out."""

from collections import Counter

import pytest

from tests.engines.zones.workshop import task
from tests.properties.plants import earliest, plant
from verifier.engines.contract import Budget
from verifier.engines.search import Effort
from verifier.engines.sooner import by_trying, by_zones, none_by
from verifier.system.expr import Node
from verifier.system.model import Cone
from verifier.verdict import explored
from verifier.verdict.ruling import Finding, Ruling

LIMITS = Effort().judge


def test_none_is_sooner_where_looking_at_every_tick_finds_none() -> None:
    said: Counter[tuple[str, bool]] = Counter()
    for seed in range(160):
        system, target = plant(seed)
        first = earliest(system, target)
        if first is None:
            continue
        asked = task(system, target)
        for last in sorted({-1, first - 2, first - 1, first, first + 1} - {-2}):
            rulings = {
                "zones": by_zones(asked, last, Budget.of(0.3), LIMITS),
                "trying": by_trying(asked, last) if last >= 0 else None,
                "both": none_by(asked, last, Budget.of(0.3), LIMITS),
            }
            for way, ruling in rulings.items():
                if way == "trying" and last < 0:
                    continue
                sound = ruling is not None and ruling.sound
                assert not sound or last < first, (seed, way)
                said[way, sound] += last < first
    for way in ("zones", "trying", "both"):
        assert said[way, True] > 10 * said[way, False], said


def test_what_cannot_come_out_is_not_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    """A run of so many ticks has as many states, each with all ways on."""
    tried = list[int]()

    def trying(part: Cone, target: Node, last: int, most: int) -> Ruling:
        tried.append(last)
        return look(part, target, last, most)

    look = explored.none_by
    monkeypatch.setattr(explored, "none_by", trying)
    system, target = next(p for p in map(plant, range(80)) if (earliest(*p) or 0) > 3)
    asked = task(system, target)
    first, ways = earliest(system, target) or 0, explored.ways(asked.cone)
    assert by_trying(asked, first - 1, most=ways * first - 1).finding is Finding.UNSURE
    assert tried == []
    by_trying(asked, first - 1, most=ways * first)
    assert tried == [first - 1]
