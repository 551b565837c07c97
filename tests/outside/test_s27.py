"""The small netlist s27 of the ISCAS-89 set (F. Brglez, D. Bryan, K. Kozminski, 1989).

The netlist is from memory. In the PyPI package circuitgraph 0.2.1 it stands as a synthesis tool has
rewritten it (netlists/s27.v, read); here both run side by side and never differ. The counts were
worked out by exhaustive search and are worked out again here: from all flip-flops dead 6 of the 8
states are reachable, each within 2 ticks, by 25 different steps.
"""

from collections.abc import Iterator
from itertools import product

from tests.outside.desk import broken, verdicts

State = tuple[bool, bool, bool]
NAMES = ("g5", "g6", "g7")

DESIGN = """
design s27 {
  free g[0..3]: signal
  keep g5: flag
  keep g6: flag
  keep g7: flag
  let g14 = not g[0]
  let g8 = g14 and g6
  let g12 = not (g[1] or g7)
  let g15 = g12 or g8
  let g16 = g[3] or g8
  let g9 = not (g16 and g15)
  let g11 = not (g5 or g9)
  let g10 = not (g14 or g11)
  let g13 = not (g[2] or g12)
  let g17 = not g11
  g5 becomes g10
  g6 becomes g11
  g7 becomes g13
CLAIMS
}
"""


def after(state: State, inputs: tuple[bool, ...]) -> State:
    g5, g6, g7 = state
    g0, g1, g2, g3 = inputs
    g8 = not g0 and g6
    g12 = not (g1 or g7)
    g9 = not ((g3 or g8) and (g12 or g8))
    g11 = not (g5 or g9)
    return not (not g0 or g11), g11, not (g2 or g12)


def depths() -> dict[State, int]:
    """Return the least number of ticks to each state that can be reached."""
    found: dict[State, int] = {(False, False, False): 0}
    edge = list(found)
    while edge:
        new = {next_ for state in edge for next_ in followers(state)} - set(found)
        depth = max(found.values()) + 1
        found |= dict.fromkeys(new, depth)
        edge = list(new)
    return found


def followers(state: State) -> Iterator[State]:
    for inputs in product((False, True), repeat=4):
        yield after(state, inputs)


def written(prefix: str, state: State) -> str:
    """Return a state in the words of the design."""
    return " and ".join(
        f"{'' if bit else 'not '}{prefix}{name}" for name, bit in zip(NAMES, state, strict=True)
    )


def test_states_that_can_be_reached() -> None:
    known = depths()
    assert len(known) == 6
    assert max(known.values()) == 2
    states = list(product((False, True), (False, True), (False, True)))
    claims = [
        f"  claim at_{number}: possible {written('', state)}" for number, state in enumerate(states)
    ]
    found = verdicts(DESIGN.replace("CLAIMS", "\n".join(claims)))
    for number, state in enumerate(states):
        answer = found[f"at_{number}"]
        assert answer.holds is (state in known)
        assert answer.fails is (state not in known)
        assert answer.tick == known.get(state)


def test_steps_between_states() -> None:
    """The state of the tick before is kept beside the netlist."""
    known = {(state, next_) for state in depths() for next_ in followers(state)}
    assert len(known) == 25
    keeps = ["  keep begun: flag", "  begun becomes yes"]
    for name in NAMES:
        keeps += [f"  keep was_{name}: flag", f"  was_{name} becomes {name}"]
    steps = [f"{written('was_', one)} and {written('', other)}" for one, other in sorted(known)]
    claims = [
        f"  claim step_{number}: possible begun and {step}" for number, step in enumerate(steps)
    ]
    claims += [
        f"  claim no_more: after begun: always {' or '.join(steps)}",
        f"  claim fewer: after begun: always {' or '.join(steps[1:])}",
    ]
    assert broken(DESIGN.replace("CLAIMS", "\n".join(keeps + claims))) == {"fewer"}


# The netlist of the package, its wires named w0 .. w11, w20.
REWRITTEN = """
  keep f5: flag
  keep f6: flag
  keep f7: flag
  let w0 = not g[1]
  let w1 = not f5
  let w2 = not g[0]
  let w3 = not (g[1] or f7)
  let w4 = not (g[3] and w0)
  let w5 = not (w2 and f6)
  let w6 = not (g[2] or w3)
  let w7 = not w5
  let w8 = not (f7 or w4)
  let w9 = not (w1 and w8)
  let w10 = not (w7 or w8)
  let w11 = not (g[0] and w9)
  let w20 = not (f5 or w10)
  f5 becomes not w11
  f6 becomes w20
  f7 becomes w6
  claim same_state: always f5 = g5 and f6 = g6 and f7 = g7
  claim same_output: always g17 != w20
"""


def test_both_netlists_are_the_same_circuit() -> None:
    assert broken(DESIGN.replace("CLAIMS", REWRITTEN)) == set()
    slip = REWRITTEN.replace("w1 and w8", "w1 and w10")
    assert broken(DESIGN.replace("CLAIMS", slip)) == {"same_state", "same_output"}
