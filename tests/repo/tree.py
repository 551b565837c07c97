"""What stands in the repository: files, modules, and what they import."""

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "verifier"

# Made by tools, or by the person who works here; never part of the project.
NOT_OURS = {".git", ".venv", "build", "dist", "node_modules", "__pycache__"}
TEXT = {".py", ".md", ".toml", ".lark", ".latch", ".json", ".txt", ".html", ".css", ".js", ".svg"}


def texts() -> list[Path]:
    """Return the text files of the repository."""
    return sorted(
        path
        for path in ROOT.rglob("*")
        if path.is_file()
        and (path.suffix in TEXT or path.name in {"run", "LICENSE"})
        and not any(_not_ours(part) for part in path.relative_to(ROOT).parts)
    )


def _not_ours(part: str) -> bool:
    return part in NOT_OURS or part.endswith(("_cache", ".egg-info", ".hypothesis"))


def python_files(*tops: Path) -> list[Path]:
    """Return the Python files under some folders."""
    return sorted(path for top in tops for path in top.rglob("*.py"))


def parsed(path: Path) -> ast.Module:
    """Return the syntax tree of a Python file."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def module_name(path: Path) -> str:
    """Return the dotted name of a Python file of the repository."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports(path: Path, *, when_loaded: bool = False) -> set[str]:
    """Return the dotted names that a file imports, wherever in it; of `from a import b` a.b.

    Lazy ones and those for type checkers count too, unless only those that take place when the
    module is loaded are asked for; so does `import_module` with a name written out.
    """
    found: set[str] = set()
    tree = parsed(path)
    skipped = set(_not_when_loaded(tree)) if when_loaded else set()
    for node in ast.walk(tree):
        if node in skipped:
            continue
        match node:
            case ast.Import(names=names):
                found.update(alias.name for alias in names)
            case ast.ImportFrom(module=module, names=names, level=level):
                base = module or ""
                if level:
                    home = module_name(path).split(".")
                    keep = len(home) - level + (path.name == "__init__.py")
                    base = ".".join([*home[:keep], *([module] if module else [])])
                found.update(f"{base}.{alias.name}" for alias in names)
            case ast.Call(args=[ast.Constant(value=str(name))]) if is_import_call(node):
                found.add(name)
            case _:
                pass
    return found


def is_import_call(node: ast.Call) -> bool:
    """Tell whether a call imports a module by its name as a text."""
    return ast.unparse(node.func).split(".")[-1] in {"import_module", "__import__"}


def _not_when_loaded(tree: ast.Module) -> Iterator[ast.AST]:
    for node in ast.walk(tree):
        match node:
            case ast.FunctionDef():
                yield from ast.walk(node)
            case ast.If(test=test, body=body) if ast.unparse(test).endswith("TYPE_CHECKING"):
                for statement in body:
                    yield from ast.walk(statement)
            case _:
                pass


def functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Yield the functions and methods of a file, inner ones too."""
    for node in ast.walk(parsed(path)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node


def where(path: Path, line: int) -> str:
    """Return a place as people read it."""
    return f"{path.relative_to(ROOT)}:{line}"
