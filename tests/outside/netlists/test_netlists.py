"""Netlists as designs: states and steps as counted by dd and by trying every one.

The netlist s27 (F. Brglez, D. Bryan, K. Kozminski, 1989) is that of the package circuitgraph; what
is said of its states is worked out here by exhaustive search. `LATCHWORK_NETLISTS=1000` tries as
many random netlists.
"""

import os
from pathlib import Path
from random import Random

import circuitgraph
import pytest
from rich.console import Console

from tests.outside.desk import Answered, system_of, verdicts
from tests.outside.netlists.__main__ import main
from tests.outside.netlists.asked import sample, states_of, told
from tests.outside.netlists.count import Symbolic, depths, graph
from tests.outside.netlists.design import at, written
from tests.outside.netlists.netlist import (
    SINGLE,
    Bits,
    Gate,
    Netlist,
    NetlistError,
    Placed,
    read,
)
from tests.outside.netlists.package import carried, converted
from verifier.engines.decide import Decider, Effort

NETLISTS = int(os.environ.get("LATCHWORK_NETLISTS", "40"))
PARTS = 6
FILES = sorted((Path(__file__).parent / "files").glob("*.bench"))

# How many states can be reached, and in how many ticks the farthest. A register fed back for a
# primitive polynomial goes through 2^n - 1 states, a twisted ring of n through 2n: S. W. Golomb,
# "Shift Register Sequences", 1967. The counters and the locks: by their own words.
KNOWN = {
    "counter4": (16, 15),
    "decade": (10, 9),
    "johnson5": (10, 9),
    "shift6": (63, 62),
    "two_locks": (3, 1),
}


def text_of(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def compare(netlist: Netlist) -> None:
    """Ask of every state, and let both counts say what is right."""
    known, symbolic = depths(netlist), Symbolic(netlist)
    assert symbolic.count == len(known)
    assert symbolic.depth == max(known.values())
    found = told(netlist, states_of(netlist))
    assert not found.unknown
    assert found.tick == known
    assert len(found.never) == 2 ** len(netlist.flops) - len(known)


# --- s27 ------------------------------------------------------------------------------------------


def test_states_of_s27() -> None:
    netlist = carried("s27")
    assert (len(netlist.inputs), len(netlist.outputs), len(netlist.flops)) == (4, 1, 3)
    known = depths(netlist)
    assert len(known) == 6
    assert max(known.values()) == 2
    compare(netlist)
    claims = {state: f"at_{number}" for number, state in enumerate(states_of(netlist))}
    found = verdicts(
        written(
            netlist,
            (f"claim {name}: possible {at(netlist, state)}" for state, name in claims.items()),
        )
    )
    for state, name in claims.items():
        assert found[name].holds is (state in known)
        assert found[name].fails is (state not in known)
        assert found[name].earliest == known.get(state)


def test_steps_of_s27() -> None:
    """Each pair of states: whether one can follow the other, by a flag that remembers the first."""
    netlist = carried("s27")
    steps = graph(netlist)
    assert steps.number_of_edges() == 25
    states = list(states_of(netlist))
    flags = [
        line
        for number, state in enumerate(states)
        for line in (f"keep was_{number}: flag", f"was_{number} becomes {at(netlist, state)}")
    ]
    claims = [
        f"claim from_{one}_to_{two}: possible was_{one} and {at(netlist, state)}"
        for one in range(len(states))
        for two, state in enumerate(states)
    ]
    system = system_of(written(netlist, claims, flags))
    decider = Decider(system, Effort(), worst=False)
    found = {one.name: Answered(decider.decide(one)) for one in system.questions}
    for one, state in enumerate(states):
        for two, after in enumerate(states):
            answer = found[f"from_{one}_to_{two}"]
            assert answer.holds is steps.has_edge(state, after)
            assert answer.fails is not steps.has_edge(state, after)


# --- other netlists -------------------------------------------------------------------------------


def test_every_file_is_known() -> None:
    assert {path.stem for path in FILES} == set(KNOWN)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_states_of_small_netlists(path: Path) -> None:
    netlist = read(text_of(path), path.name)
    symbolic = Symbolic(netlist)
    assert (symbolic.count, symbolic.depth) == KNOWN[path.stem]
    compare(netlist)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_package_reads_the_same(path: Path) -> None:
    """The reader of circuitgraph, another than ours, on the same files: the same steps."""
    ours = read(text_of(path), path.name)
    theirs = converted(circuitgraph.from_file(path, fmt="bench"), path.name)
    assert sorted(ours.inputs) == list(theirs.inputs)
    order = [list(ours.flops).index(name) for name in theirs.flops]
    inputs = [list(ours.inputs).index(name) for name in theirs.inputs]
    random = Random(path.stem)
    for _ in range(200):
        state = tuple(random.random() < 0.5 for _ in ours.flops)
        chosen = tuple(random.random() < 0.5 for _ in ours.inputs)
        after = ours.after(state, chosen)
        assert theirs.after(
            tuple(state[one] for one in order), tuple(chosen[one] for one in inputs)
        ) == tuple(after[one] for one in order)


def random_netlist(seed: int) -> Netlist:
    """Return a netlist of some gates over some inputs and flip-flops."""
    random = Random(seed)
    inputs = [f"in{number}" for number in range(random.randint(1, 3))]
    held = [f"q{number}" for number in range(random.randint(2, 4))]
    known, gates = [*inputs, *held], dict[str, Placed]()
    for number in range(random.randint(4, 12)):
        gate = random.choice(list(Gate))
        width = 1 if gate in SINGLE else random.randint(2, 3)
        name = f"g{number}"
        gates[name] = Placed(gate, tuple(random.choices(known, k=width)))
        known.append(name)
    flops = {name: random.choice(known) for name in held}
    return Netlist(f"random {seed}", tuple(inputs), (known[-1],), gates, flops)


@pytest.mark.parametrize("part", range(PARTS))
def test_states_of_random_netlists(part: int) -> None:
    for seed in range(part, NETLISTS, PARTS):
        compare(random_netlist(seed))


def test_a_large_netlist_is_sampled() -> None:
    """A row of twelve flip-flops that an input feeds: some states, asked among 4096."""
    lines = ["INPUT(a)", "q0 = DFF(a)", *(f"q{n} = DFF(q{n - 1})" for n in range(1, 12))]
    netlist = read("\n".join(lines), "long")
    symbolic = Symbolic(netlist)
    assert symbolic.count == 2**12
    states = sample(netlist, symbolic, seed=0, few=3)
    found = told(netlist, states)
    assert found.tick.keys() == set(states)
    assert max(found.tick.values()) <= symbolic.depth == 12


# --- what is written, what is refused -------------------------------------------------------------


def test_names_that_the_language_has_or_lacks() -> None:
    netlist = read("INPUT(1)\nwhen = DFF(z.1)\nz.1 = XOR(1, when)\nz_1 = NOT(1)", "odd")
    compare(netlist)
    assert "keep when_: flag" in written(netlist)


def test_a_netlist_without_flip_flops_has_one_state() -> None:
    netlist = carried("c17")
    assert len(netlist.gates) == 6
    assert told(netlist, states_of(netlist)).tick == {(): 0}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("x = MAJ(a, b)", "line 1: MAJ is none of AND, BUF"),
        ("INPUT(a)\nz = (a)", "line 2: neither INPUT"),
        ("always @(posedge clk)", "line 1: neither INPUT"),
        ("INPUT(a, b)", "INPUT takes one name, not 2"),
        ("INPUT(a)\nq = DFF(a, a)", "line 2: DFF takes one name, not 2"),
        ("INPUT(a)\nz = NOT(a, a)", "line 2: NOT takes one name, not 2"),
        ("INPUT(a)\nz = AND(a,)", "line 2: a name is missing"),
        ("INPUT(a)\nINPUT(a)", "line 2: a is defined twice"),
        ("INPUT(a)\nz = NOT(a)\nz = BUF(a)", "line 3: z is defined twice"),
        ("INPUT(a)\na = DFF(a)", "line 2: a is defined twice"),
        ("z = NOT(a)", "z reads a, which nothing defines"),
        ("INPUT(a)\nOUTPUT(z)", "OUTPUT reads z, which nothing defines"),
        ("INPUT(c)\na = OR(b, c)\nb = NOT(a)", "gates read one another in a circle: "),
    ],
)
def test_what_cannot_be_read_is_told(text: str, words: str) -> None:
    with pytest.raises(NetlistError) as told_of:
        read(text, "bad")
    assert str(told_of.value).startswith("bad")
    assert words in str(told_of.value)


def test_a_box_that_is_no_flip_flop_is_told() -> None:
    box = circuitgraph.BlackBox("adder", ["A", "B"], ["S"])
    circuit = circuitgraph.Circuit("odd")
    circuit.add_blackbox(box, "sum")
    with pytest.raises(NetlistError, match="sum is no plain flip-flop: A, B, S"):
        converted(circuit, "odd")


def test_the_command(tmp_path: Path) -> None:
    console = Console(record=True, width=120)
    assert main(["s27", str(FILES[0])], console) == 0
    said = console.export_text()
    assert "3 flip-flops; 6 states can be reached, the farthest in 2 ticks" in said
    assert "asked of 8: 6 can be reached, 2 can not, 0 unknown, 0 told otherwise" in said
    bad = tmp_path / "bad.bench"
    bad.write_text("z = NOT(a)\n", encoding="utf-8")
    assert main([str(bad)], console) == 2
    assert main(["no_such_netlist"], console) == 2


def test_a_wrong_answer_would_be_seen() -> None:
    """Both counts of another netlist disagree with what is told of this one."""
    netlist = read(text_of(FILES[0]), "one")
    other = Netlist("other", netlist.inputs, (), netlist.gates, dict.fromkeys(netlist.flops, "q0"))
    states: list[Bits] = list(states_of(netlist))
    assert told(netlist, states).tick != depths(other)
    assert Symbolic(other).count != Symbolic(netlist).count
