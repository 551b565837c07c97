"""Classic puzzles: the fewest moves and the least time that are known for them.

Each is asked from both sides: `possible ... within` the known best, and not within a tick less.
"""

from itertools import product

import pytest

from tests.outside.desk import verdicts

# Wolf, goat and cabbage (classic): 7 crossings (from memory, and RUN).
RIVER = """
design river {
  tick 1 s
  free aboard: one of (rests, alone, wolf, goat, cabbage)
  keep rower: flag
  keep wolf: flag
  keep goat: flag
  keep cabbage: flag
  let with_wolf = aboard is wolf and wolf = rower
  let with_goat = aboard is goat and goat = rower
  let with_cabbage = aboard is cabbage and cabbage = rower
  rower becomes not rower when aboard is alone or with_wolf or with_goat or with_cabbage
  wolf becomes not wolf when with_wolf
  goat becomes not goat when with_goat
  cabbage becomes not cabbage when with_cabbage
  assume never goat = wolf and goat != rower
  assume never goat = cabbage and goat != rower
  let over = all of (rower, wolf, goat, cabbage)
  claim seven: possible over within 7 s
  claim six: possible over within 6 s
  claim least: over no sooner than 7 s
  claim not_stuck: always possible over
}
"""

BANKS = ("rower", "wolf", "goat", "cabbage")

# Four people of 1, 2, 5 and 10 minutes, one lamp, a bridge for two: 17 minutes (G. Rote,
# "Crossing the Bridge at Night", EATCS Bulletin 78, 2002; from memory, and RUN).
BRIDGE = """
design bridge {
  tick 1 min
  free goes: one of (nobody, a, b, c, d, ab, ac, ad, bc, bd, cd)
  keep over[1..4]: flag
  keep lamp: flag
  keep left: timer
  let idle = left <= 1 min
  let one[1] = goes is a or goes is ab or goes is ac or goes is ad
  let one[2] = goes is b or goes is ab or goes is bc or goes is bd
  let one[3] = goes is c or goes is ac or goes is bc or goes is cd
  let one[4] = goes is d or goes is ad or goes is bd or goes is cd
  for i in 1..4 { let fits[i] = over[i] = lamp or not one[i] }
  let sets_out = idle and goes is not nobody and all of (fits)
  for i in 1..4 { over[i] becomes not over[i] when sets_out and one[i] }
  lamp becomes not lamp when sets_out
  left loads
    10 min when sets_out and one[4],
    5 min when sets_out and one[3],
    2 min when sets_out and one[2],
    1 min when sets_out
  let all_over = all of (over) and idle
  claim seventeen: possible all_over within 17 min
  claim sixteen: possible all_over within 16 min
  claim least: all_over no sooner than 17 min
}
"""

# Towers of Hanoi (classic): 2^n - 1 moves.
HANOI = """
design towers {
  tick 1 s
  free from_to: one of (rest, ab, ac, ba, bc, ca, cb)
  let from_a = from_to is ab or from_to is ac
  let from_b = from_to is ba or from_to is bc
  let to_a = from_to is ba or from_to is ca
  let to_b = from_to is ab or from_to is cb
PLATES
  let done = all of (DONE)
  claim best: possible done within BEST s
  claim less: possible done within LESS s
  claim least: done no sooner than BEST s
}
"""

# Chinese rings: ring 1 goes on and off at will, ring k + 1 while k is on and all below it are off;
# all n off takes (2^(n+1) - 2) / 3 moves for even n, (2^(n+1) - 1) / 3 for odd (E. Weisstein).
RINGS = """
design rings {
  tick 1 s
  free turns: count 0 .. COUNT
  keep on[1..COUNT]: flag = yes
  on[1] becomes not on[1] when turns = 1
FREE
  let free_all = none of (on)
  claim best: possible free_all within BEST s
  claim less: possible free_all within LESS s
  claim least: free_all no sooner than BEST s
}
"""


def answers(text: str) -> dict[str, bool]:
    found = verdicts(text)
    assert all(one.holds or one.fails for one in found.values()), found
    return {name: one.holds for name, one in found.items()}


def test_river_takes_seven_crossings() -> None:
    assert answers(RIVER) == {"seven": True, "six": False, "least": True, "not_stuck": True}
    assert verdicts(RIVER)["seven"].tick == 7


def test_river_has_ten_states() -> None:
    claims = []
    for number, over in enumerate(product((False, True), repeat=len(BANKS))):
        places = (name if there else f"not {name}" for name, there in zip(BANKS, over, strict=True))
        claims.append(f"  claim at_{number}: possible {' and '.join(places)}\n")
    text = RIVER[: RIVER.index("  claim")] + "".join(claims) + "}\n"
    assert sum(answers(text).values()) == 10


def test_bridge_takes_seventeen_minutes() -> None:
    assert answers(BRIDGE) == {"seventeen": True, "sixteen": False, "least": True}


def hanoi(plates: int) -> str:
    lines = []
    for size in range(1, plates + 1):
        smaller = range(1, size)
        free = " and ".join(
            ["yes", *(f"not from_p{one}_at and not to_p{one}_at" for one in smaller)]
        )
        lines.append(f"  keep p{size}: one of (a, b, c)")
        lines.append(
            f"  let from_p{size}_at = (p{size} is a and from_a) or (p{size} is b and from_b)"
            f" or (p{size} is c and from_to is not rest and not from_a and not from_b)"
        )
        lines.append(
            f"  let to_p{size}_at = (p{size} is a and to_a) or (p{size} is b and to_b)"
            f" or (p{size} is c and from_to is not rest and not to_a and not to_b)"
        )
        lines.append(f"  let moves{size} = from_p{size}_at and {free}")
        lines.append(
            f"  p{size} becomes a when moves{size} and to_a, b when moves{size} and to_b,"
            f" c when moves{size}"
        )
    best = 2**plates - 1
    done = ", ".join(f"p{size} is c" for size in range(1, plates + 1))
    text = HANOI.replace("PLATES", "\n".join(lines)).replace("DONE", done)
    return text.replace("BEST", str(best)).replace("LESS", str(best - 1))


@pytest.mark.parametrize("plates", [1, 2, 3])
def test_towers_take_two_to_the_n_less_one(plates: int) -> None:
    assert answers(hanoi(plates)) == {"best": True, "less": False, "least": True}


def rings(count: int, best: int) -> str:
    lines = []
    for ring in range(2, count + 1):
        below = "".join(f" and not on[{one}]" for one in range(1, ring - 1))
        lines.append(
            f"  on[{ring}] becomes not on[{ring}] when turns = {ring} and on[{ring - 1}]{below}"
        )
    text = RINGS.replace("FREE", "\n".join(lines)).replace("COUNT", str(count))
    return text.replace("BEST", str(best)).replace("LESS", str(best - 1))


@pytest.mark.parametrize(("count", "best"), [(2, 2), (3, 5), (4, 10), (5, 21)])
def test_chinese_rings(count: int, best: int) -> None:
    assert 3 * best == 2 ** (count + 1) - (2 if count % 2 == 0 else 1)
    assert answers(rings(count, best)) == {"best": True, "less": False, "least": True}
