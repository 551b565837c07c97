"""What a question hangs on, and whether there is only one run."""

from tests.logic.shed import Shed
from verifier.system.cone import behind, closed, cone
from verifier.system.expr import Node
from verifier.system.model import Load, System
from verifier.system.state import State, only


def rows() -> tuple[System, dict[str, Node]]:
    """Return a system of lamps: of a button, of drawn timers, of fixed ones, of nothing else."""
    shed = Shed()
    pool = shed.pool
    pressed, blinks = shed.bit("pressed"), shed.bit("blinks")
    shed.becomes(pressed, shed.choice("button"))
    shed.becomes(blinks, pool.not_(blinks))
    drawn = shed.clock("drawn", [Load(blinks, 2, 5)])
    fixed = shed.clock("fixed", [Load(blinks, 3, 3)])
    nodes = {
        "pressed": pressed,
        "blinks": blinks,
        "drawn": pool.above(drawn, 0),
        "fixed": pool.above(fixed, 0),
    }
    return shed.system(allowed=pool.not_(pool.and_(blinks, pool.pick(0, 1)))), nodes


def test_one_run_is_where_nobody_chooses_and_nothing_is_drawn() -> None:
    system, lamps = rows()
    only_run = {name: closed(behind(system, [node])) for name, node in lamps.items()}
    assert only_run == {"pressed": False, "blinks": True, "drawn": False, "fixed": True}
    both = system.pool.and_(lamps["fixed"], lamps["drawn"])
    assert not closed(behind(system, [both]))


def test_a_cone_holds_what_assumptions_hang_on_too() -> None:
    system, lamps = rows()
    assert behind(system, [lamps["fixed"]]).choices == ()
    part = cone(system, [lamps["fixed"]])
    assert (part.choices, part.registers, part.clocks) == ((0,), (1,), (1,))
    assert part.roots == (lamps["fixed"],)


def test_indices_rise() -> None:
    """A set of 1 and 40 gives 40 first: its table has eight places."""
    shed = Shed()
    bits = [shed.bit(f"bit{n}") for n in range(41)]
    clocks = [shed.pool.above(shed.clock(f"c{n}"), 0) for n in range(41)]
    picks = [shed.choice(f"p{n}") for n in range(41)]
    part = behind(shed.system(), [nodes[n] for nodes in (bits, clocks, picks) for n in (40, 1)])
    assert part.registers == part.clocks == part.choices == (1, 40)


def test_outside_of_a_cone_nothing_is_live() -> None:
    system, lamps = rows()
    at = State((True, True), (4, 3))
    assert only(behind(system, [lamps["fixed"]]), at) == State((False, True), (0, 3))
    assert only(behind(system, [lamps["pressed"]]), at) == State((True, False), (0, 0))
