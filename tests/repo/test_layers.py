"""Data flows one way: imports point only upward in the list of stages."""

import ast
from graphlib import TopologicalSorter

import pytest

from tests.repo.tree import (
    PACKAGE,
    imports,
    is_import_call,
    module_name,
    parsed,
    python_files,
    where,
)

# A module may import from its own stage and from those above it.
STAGES = (
    "source",
    "syntax",
    "design",
    "system",
    "verdict",
    "logic",
    "simulate",
    "engines",
    "causes",
    "tuning",
    "puzzle",
    "report",
    "pipeline",
    "cli",
)

# Libraries that one stage alone may know, so that they can be replaced there. A name that ends in
# a dot is a whole stage, else the module or those that begin so.
LIBRARIES = {
    "lark": "verifier.syntax.parse",
    "z3": "verifier.logic.",
    "cvc5": "verifier.logic.second",
    "click": "verifier.cli.",
    "fast_sugiyama": "verifier.report.drawing.layers",
    "vcd": "verifier.report.waveform",
}

MODULES = {module_name(path): path for path in python_files(PACKAGE)}


def stage(module: str) -> str | None:
    parts = module.split(".")
    return parts[1] if parts[0] == "verifier" and len(parts) > 1 else None


def test_every_module_belongs_to_a_stage() -> None:
    homes = {stage(module) for module in MODULES} - {None}
    assert homes <= set(STAGES)


@pytest.mark.parametrize("module", sorted(MODULES))
def test_imports_point_upward(module: str) -> None:
    home = stage(module)
    if home is None:
        return
    names = {stage(name) for name in imports(MODULES[module])} - {None}
    below = {name for name in names if name and STAGES.index(name) > STAGES.index(home)}
    assert not below, f"{module} imports from {sorted(below)}"


@pytest.mark.parametrize("library", sorted(LIBRARIES))
def test_a_library_is_known_in_one_place(library: str) -> None:
    home = LIBRARIES[library]
    knowing = {
        module
        for module, path in MODULES.items()
        if any(name.split(".")[0] == library for name in imports(path))
    }
    assert not {module for module in knowing if not f"{module}.".startswith(home)}


def test_certificates_are_judged_again_without_engines() -> None:
    needed, edge = set[str](), ["verifier.cli.recheck"]
    while edge:
        module = edge.pop()
        if module in MODULES and module not in needed:
            needed.add(module)
            names = imports(MODULES[module])
            edge += [*names, *(name.rpartition(".")[0] for name in names)]
    assert "verifier.logic.judge" in needed
    assert not {module for module in needed if stage(module) in {"engines", "simulate", "pipeline"}}


def test_modules_are_not_loaded_in_circles() -> None:
    graph = {}
    for module, path in MODULES.items():
        names = imports(path, when_loaded=True)
        wanted = names | {name.rpartition(".")[0] for name in names}
        graph[module] = {name for name in wanted if name in MODULES and name != module}
    in_order = TopologicalSorter(graph).static_order()  # an error where there is a circle
    assert set(in_order) == set(MODULES)


def test_no_module_is_imported_by_a_computed_name() -> None:
    found = [
        where(path, node.lineno)
        for module, path in MODULES.items()
        if stage(module) != "cli"  # nothing stands below it, so it may load its commands late
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Call) and is_import_call(node)
        if not isinstance(node.args[0], ast.Constant)
    ]
    assert not found


def test_only_report_and_command_line_print() -> None:
    found = [
        where(path, node.lineno)
        for module, path in MODULES.items()
        if stage(module) not in {"report", "cli"}
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Call) and ast.unparse(node.func) in {"print", "builtins.print"}
    ]
    assert not found
