"""The pages of kinds: all standard kinds have a bench, and what is said of them is so."""

from pathlib import Path

import pytest

from tests.report.golden import compare
from tests.report.make import paper
from verifier.design.files import of_source, standard
from verifier.design.model import Net
from verifier.report.bench import Bench, bench, inputs_of, trial
from verifier.report.graph import Graph
from verifier.report.kinds import write_kind, write_kinds
from verifier.simulate.told import played
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.syntax import tree
from verifier.system.cone import whole
from verifier.system.lower import lower
from verifier.system.program import program
from verifier.system.state import start_of

KINDS = {one.name.text: one for one in standard().file.blocks if not one.is_design}


def on_bench(name: str) -> Bench:
    found = bench(KINDS[name], standard())
    assert found is not None
    return found


def page(block: tree.Block, found: Bench | None) -> str:
    sheet, stream = paper()
    write_kind(sheet, block, found)
    return stream.getvalue()


@pytest.mark.parametrize("name", KINDS)
def test_every_standard_kind_is_shown_at_work(name: str) -> None:
    text = page(KINDS[name], on_bench(name))
    assert "At work: " in text
    assert "└" in text, "nothing was drawn"
    assert all(len(line) <= 80 for line in text.splitlines())
    for port in (*on_bench(name).part.ports_in, *on_bench(name).part.ports_out):
        assert port.path.removeprefix(f"{on_bench(name).part.path}.") in text


@pytest.mark.parametrize("name", ["pulse", "door", "relay", "tap", "counter", "plate"])
def test_pages(name: str) -> None:
    compare(f"kind-{name}", page(KINDS[name], on_bench(name)))


def flipped(found: Bench, source: Net, target: Net) -> bool:
    """Whether an output differs in the very tick in which one input does, all else being equal.

    Every tick of the trial is tried, so this is a look at how the part works, not at its graph.
    """
    system = lower(found.design)
    acts, length = trial(found, system)
    run = played(system, acts, length)
    bits = system.shown[target.path].nodes
    names = [choice.name for choice in system.choices]
    drivers = [
        number
        for number, name in enumerate(names)
        if source.path == name or _drives(found, name, source)
    ]
    runner = program(whole(system, bits))
    at = start_of(system)
    for step in run.steps:
        for _ in range(step.ticks):
            after, values = runner.step(at, step.choices, step.draws)
            for driver in drivers:
                other = list(step.choices)
                other[driver] = 1 - other[driver]
                if runner.step(at, other, step.draws)[1] != values:
                    return True
            at = after
    return False


def _drives(found: Bench, choice: str, port: Net) -> bool:
    """Whether a choice of the bench reaches an input of the part."""
    own = {free.net.path: free.net for free in found.design.free}
    graph = Graph.of(found.design)
    others = [one for one in inputs_of(found) if one is not port]
    reached = graph.answers_at_once(own[choice], port)
    return reached and not any(graph.answers_at_once(own[choice], one) for one in others)


AT_ONCE = ["supply", "tap", "divider", "busbar", "and_gate", "or_gate", "xor_gate", "not_gate"]
AT_ONCE += ["inhibit", "edge", "button", "lamp", "bell", "load"]
NEXT_TICK = ["latch", "toggle", "counter", "lever"]


@pytest.mark.parametrize("name", [*AT_ONCE, *NEXT_TICK])
def test_what_answers_at_once_does_and_what_does_not_does_not(name: str) -> None:
    found = on_bench(name)
    graph = Graph.of(found.design)
    said = {
        (one, out): graph.answers_at_once(one, out)
        for one in inputs_of(found)
        for out in found.part.ports_out
    }
    assert any(said.values()) == (name in AT_ONCE)
    for (one, out), at_once in said.items():
        # A path through loose logic may be one that can never be live, but none may be missed.
        assert at_once or not flipped(found, one, out)
    if name in AT_ONCE:
        assert any(flipped(found, one, out) for one, out in said)


def test_own_kinds_in_a_file_are_shown() -> None:
    text = """\
kind lantern(glow: time) "glows for a while after each pull" {
  in feed: power
  in pull: signal
  out lit: signal = left > 0 s
  uses 2 of feed
  keep left: timer
  left loads glow when fed and pull starts
}
"""
    collector = Collector()
    unit = of_source(Source("own.latch", text), Path("own.latch"), collector)
    assert unit is not None, collector.found
    (block,) = unit.file.blocks
    found = bench(block, unit)
    shown = page(block, found)
    assert "glows for a while after each pull" in shown
    assert "draws    2 units" in shown
    assert "At work: lantern(glow: 2 s)" in shown


def test_a_kind_that_no_bench_serves_is_told_so() -> None:
    text = (
        "kind odd(most: count) { keep at: count 0 .. most out out: signal = at = 7 at becomes 7 }"
    )
    collector = Collector()
    unit = of_source(Source("own.latch", text), Path("own.latch"), collector)
    assert unit is not None
    (block,) = unit.file.blocks
    assert "no simple bench serves this kind" in page(block, bench(block, unit))


def test_all_kinds_are_listed_with_what_they_do() -> None:
    sheet, stream = paper()
    write_kinds(sheet, list(KINDS.values()))
    for name, block in KINDS.items():
        assert f"\n{name} " in f"\n{stream.getvalue()}"
        assert block.text is not None


def own(text: str) -> str:
    collector = Collector()
    unit = of_source(Source("own.latch", text), Path("own.latch"), collector)
    assert unit is not None, collector.found
    (block,) = unit.file.blocks
    return page(block, bench(block, unit))


def test_whatever_a_kind_is_told_its_bench_tells_it() -> None:
    text = own("""\
kind odd(mode: one of (calm, cross), size: count 1..4, dim: flag, ways: count, more: units) {
  in x: signal
  out y: signal = x and tally > 2 and not held
  keep tally: count 0..4 = 2
  keep last: one of (calm, cross) = cross
  keep held: flag = dim
  tally becomes 3 when x
  last becomes calm when x
  held becomes no when x
}
""")
    assert "At work: odd(mode: calm, size: 4, dim: no, ways: 2, more: 3)" in text
    assert "at first tally = 2, last is cross, held = no" in text
    assert "out   y  signal, follows x at once" in text


def test_a_kind_that_never_changes_is_not_drawn() -> None:
    text = own('kind still "still" {\n  out y: signal = yes\n}\n')
    assert "out   y  signal, of itself" in text
    assert text.endswith("At work: still\n\nNothing changes.\n")
