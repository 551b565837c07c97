"""Knights change places: P. Guarini, 1512 (from memory).

Two white knights stand in the upper corners of a board of three by three, two black ones in the
lower. Sixteen moves are needed for the colours to change places, each knight making four. The eight
squares that a knight can reach make a ring on which nobody can pass, so of three knights two cannot
change places with each other.
"""

from tests.outside.desk import quickest

# The squares in the order in which a knight goes round the ring: 1 6 7 2 9 4 3 8 of the board.
# White 1 and 2 at corners 1 and 3, black 3 and 4 at 7 and 9: every other place of the ring.
RING = """
design ring {
  tick 1 s
  free mover: one of (nobody, a, b, c, d)
  free back: signal
RULES
  let changed = WANTED
}
"""


PLACES = {"a": 0, "b": 6, "c": 2, "d": 4}


def ring(wanted: str, knights: str = "abcd") -> str:
    rules = []
    for knight in knights:
        others = [other for other in knights if other != knight]
        rules += [
            f"  keep {knight}: count 0 .. 7 = {PLACES[knight]}",
            f"  let on_{knight} = ({knight} + (7 when back else 1)) mod 8",
            f"  let goes_{knight} = mover is {knight} and "
            + " and ".join(f"on_{knight} != {other}" for other in others),
            f"  {knight} becomes on_{knight} when goes_{knight}",
        ]
    return RING.replace("RULES", "\n".join(rules)).replace("WANTED", wanted)


WHITE_BELOW = "(a = 2 or a = 4) and (b = 2 or b = 4)"
BLACK_ABOVE = "(c = 0 or c = 6) and (d = 0 or d = 6)"


def test_sixteen_moves_change_the_colours() -> None:
    found = quickest(ring(f"{WHITE_BELOW} and {BLACK_ABOVE}"), "changed")
    assert found.route is not None
    assert found.proved
    assert found.route.tick == 16


def test_two_of_three_cannot_change_places() -> None:
    assert quickest(ring("a = 6 and b = 0 and c = 2", "abc"), "changed").none
