"""Jealous couples at a river: Alcuin of York, "Propositiones ad acuendos juvenes", about 800.

Three couples, a boat for two, and no woman may be on a bank with other men unless her husband is
there: 11 crossings are needed, for two couples 5 (from memory).
"""

import pytest

from tests.outside.desk import quickest


def river(couples: int, *, jealous: bool = True) -> str:
    """Return a river with couples 1 to n; everybody has a bank, and so has the boat."""
    people = range(1, couples + 1)
    names = [f"{who}[{number}]" for number in people for who in ("man", "woman")]
    pairs = [(one, other) for place, one in enumerate(names) for other in ("", *names[place + 1 :])]
    options = ", ".join(["none", *(f"trip_{number}" for number in range(len(pairs)))])
    lines = [
        "design river {",
        "  tick 1 s",
        f"  free trip: one of ({options})",
        "  keep boat: flag",
    ]
    for name in names:
        trips = [f"trip is trip_{number}" for number, pair in enumerate(pairs) if name in pair]
        lines.append(f"  keep {name}: flag")
        lines.append(f"  {name} becomes not {name} when crosses and ({' or '.join(trips)})")
    ready = [
        f"trip is trip_{number} and " + " and ".join(f"{who} = boat" for who in pair if who)
        for number, pair in enumerate(pairs)
    ]
    lines.append("  let crosses = " + "\n    or ".join(ready))
    lines.append("  boat becomes not boat when crosses")
    lines += [
        f"  assume never woman[{one}] != man[{one}] and woman[{one}] = man[{other}]"
        for one in people
        for other in people
        if jealous and one != other
    ]
    return "\n".join([*lines, f"  let over = all of ({', '.join(names)})", "}\n"])


@pytest.mark.parametrize(("couples", "crossings"), [(2, 5), (3, 11)])
def test_couples_cross(couples: int, crossings: int) -> None:
    found = quickest(river(couples), "over")
    assert found.proved
    assert found.route is not None
    assert found.route.tick == crossings


def test_without_jealousy_six_people_need_nine() -> None:
    """Of n people in a boat for two all but the last crossing bring one more across: 2 n - 3."""
    found = quickest(river(3, jealous=False), "over")
    assert found.route is not None
    assert found.route.tick == 2 * 6 - 3
