"""Small changes to a Python file, one at a time, each of a kind that a slip of the hand could be.

The idea is that of R. A. DeMillo, R. J. Lipton, F. G. Sayward, "Hints on Test Data Selection", IEEE
Computer, April 1978: tests that see no difference do not say what the code has to do. The kinds of
changes are chosen for code that checks: checks that are left out, turned, or made of too little.
"""

import ast
import copy
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
COUNTED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Add,
    ast.LShift: ast.RShift,
    ast.RShift: ast.LShift,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
PAIRS = (
    ("SAT", "UNSAT"),
    ("UNKNOWN", "UNSAT"),
    ("all", "any"),
    ("and_", "or_"),
    ("equal", "at_most"),
    ("high", "low"),
    ("longest", "start"),
    ("max", "min"),
    ("minus", "plus"),
    ("yes", "no"),
)
OTHERS = {two: one for one, two in PAIRS} | dict(PAIRS)
"""Names that are easily taken for each other."""
TEXTS = {
    r" - ": " + ",
    r" > ": " >= ",
    r" < ": " <= ",
    r" <= ": " < ",
    r" == ": " != ",
    r" and ": " or ",
    r" or ": " and ",
    r"^not ": "",
    r" if ": " if not ",
    r"\bmax\b": "min",
    r"\bTrue\b": "False",
    r"\bFalse\b": "True",
    r"\bbreak\b": "pass",
    r"\b0\b": "1",
    r"\b1\b": "2",
    r"_and\b": "_or",
    r"_or\b": "_and",
    r"_add\b": "_sub",
    r"_sub\b": "_add",
    r"_le\b": "_lt",
    r"_gt\b": "_ge",
}
"""Changes within texts, for code that writes code."""
PEELED = {"not_", "reversed", "sorted", "only"}
"""Functions whose last argument is taken as it is."""
EITHER_WAY = {"and_", "or_", "equal", "differ", "max", "min", "plus"}
"""Functions that do not care about the order of their arguments."""
REFUSALS = {"wrong", "unsure"}
SPOKEN = REFUSALS | {"assert_never", "SolverError", "RefusedStepError", "AssertionError"}
"""Functions whose arguments are words for people."""
WHOLE = {"room", "system", "pool", "self._at", "part", "cone"}
"""First arguments that nobody takes for another: types would tell."""
APART = {"decorator_list", "annotation", "returns", "bases", "pattern", "format_spec"}
"""Fields of the tree that are left alone."""
DEFINED = (ast.FunctionDef, ast.ClassDef)
WIDEST = 60  # letters around a change that are shown

Variant = tuple[str, ast.AST]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a node stands: in a field of its parent, at an index where that is a list."""

    parent: ast.AST
    field: str
    index: int | None

    def put(self, node: ast.AST) -> ast.AST:
        """Put a node in this place; return what stood there."""
        held = getattr(self.parent, self.field)
        if self.index is None:
            setattr(self.parent, self.field, node)
            return held  # type: ignore[no-any-return] # a field of a tree
        old, held[self.index] = held[self.index], node
        return old  # type: ignore[no-any-return] # likewise


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change. Its name is made of the function and the change, not of the line."""

    name: str
    line: int
    kind: str
    place: Place
    new: ast.AST
    inside: bool
    """Whether it is in the body of a function."""


def mutants(tree: ast.Module) -> list[Mutant]:
    """Return all mutants of a file from top to bottom, no two of one name."""
    seen, found = Counter[str](), []
    for one in _Walk().below(tree):
        seen[one.name] += 1
        number = seen[one.name]
        found.append(one if number == 1 else replace(one, name=f"{one.name} ({number})"))
    return found


@dataclass(slots=True, eq=False)
class _Walk:
    """Goes through a tree; knows the definitions and the expressions around where it is."""

    names: list[str] = field(default_factory=list)
    around: list[ast.expr] = field(default_factory=list)
    bodies: int = 0

    def below(self, node: ast.AST) -> Iterator[Mutant]:
        """Yield the mutants of all that stands in a node."""
        for name, held in ast.iter_fields(node):
            if name in APART or (isinstance(node, ast.keyword) and node.arg == "strict"):
                continue
            body = isinstance(node, ast.FunctionDef) and name == "body"
            self.bodies += body
            parts = enumerate(held) if isinstance(held, list) else [(None, held)]
            for index, child in parts:
                if isinstance(child, ast.AST):
                    yield from self._at(child, Place(node, name, index))
            self.bodies -= body

    def _at(self, node: ast.AST, place: Place) -> Iterator[Mutant]:
        if isinstance(node, DEFINED):
            self.names.append(node.name)
            yield from self.below(node)
            self.names.pop()
            return
        for kind, new in _variants(node, place.parent):
            yield self._mutant(node, place, kind, new)
        if _is_for_people(node):
            return
        if isinstance(node, ast.expr):
            self.around.append(node)
            yield from self.below(node)
            self.around.pop()
        else:
            yield from self.below(node)

    def _mutant(self, node: ast.AST, place: Place, kind: str, new: ast.AST) -> Mutant:
        wide = [one for one in (*self.around, node) if len(ast.unparse(one)) <= WIDEST]
        shown = next(iter(wide), node)
        before = _shown(shown)
        place.put(new)
        after = _shown(new if shown is node else shown)
        place.put(node)
        where = ".".join(self.names) or "the file"
        line = getattr(node, "lineno", getattr(place.parent, "lineno", 0))
        name = f"{where}: {before} -> {after}"
        return Mutant(name, line, kind, place, new, inside=self.bodies > 0)


def _shown(node: ast.AST) -> str:
    """Return the first line of a node."""
    return ast.unparse(node).strip().split("\n")[0]


def _is_for_people(node: ast.AST) -> bool:
    """Tell whether a node holds only words for people and for type checkers."""
    match node:
        case ast.Raise() | ast.Import() | ast.ImportFrom() | ast.Expr(value=ast.Constant()):
            return True
        case ast.Return(value=ast.Constant()):
            return True
        case ast.Subscript(value=ast.Name("Callable")):
            return True
        case ast.Call():
            return _called(node) in SPOKEN
        case _:
            return False


def _called(node: ast.Call) -> str:
    return ast.unparse(node.func).rpartition(".")[2]


def _with(node: ast.AST, **fields: object) -> ast.AST:
    made = copy.copy(node)
    for name, value in fields.items():
        setattr(made, name, value)
    return made


def _expression(text: str) -> ast.expr:
    return ast.parse(text, mode="eval").body


def _without(parts: Sequence[ast.AST]) -> Iterator[list[ast.AST]]:
    for place in range(len(parts)):
        yield [*parts[:place], *parts[place + 1 :]]


def _variants(node: ast.AST, parent: ast.AST) -> Iterator[Variant]:
    """Yield what a node could be instead, each with its kind."""
    match node:
        case ast.If() | ast.While() | ast.For():
            yield from _of_head(node)
        case ast.stmt():
            yield from _of_statement(node, parent)
        case ast.Constant() | ast.Name() | ast.Attribute():
            yield from _of_word(node)
        case ast.comprehension(iter=row, ifs=tests):
            yield from (("part of a row", _with(node, iter=one)) for one in _shorter(row))
            yield from (("check left out", _with(node, ifs=rest)) for rest in _without(tests))
        case ast.match_case() if not _never_comes(node):
            yield "case left out", _with(node, guard=ast.Constant(value=False))
        case ast.Call():
            yield from _of_call(node)
        case ast.List(elts=parts) if len(parts) > 1:
            yield from (("part of a list", _with(node, elts=rest)) for rest in _without(parts))
        case ast.Tuple(elts=parts) if len(parts) > 1 and isinstance(parent, ast.Call):
            yield from (("part of a list", _with(node, elts=rest)) for rest in _without(parts))
        case ast.keyword(arg="anywhere"):
            yield "flag turned", _with(node, value=ast.UnaryOp(ast.Not(), node.value))
        case _:
            yield from _of_operators(node)


def _of_word(node: ast.Constant | ast.Name | ast.Attribute) -> Iterator[Variant]:
    match node:
        case ast.Constant(value=value):
            yield from (("value", ast.Constant(one)) for one in _near(value))
        case ast.Name(id=name, ctx=ast.Load()) if name in OTHERS:
            yield "other name", _with(node, id=OTHERS[name])
        case ast.Attribute(attr=name, ctx=ast.Load()) if name in OTHERS:
            yield "other name", _with(node, attr=OTHERS[name])
        case _:
            pass


def _of_operators(node: ast.AST) -> Iterator[Variant]:
    match node:
        case ast.Compare(ops=ops):
            for place, op in enumerate(ops):
                for other in COMPARED[type(op)]:
                    row = [*ops[:place], other(), *ops[place + 1 :]]
                    yield "comparison", _with(node, ops=row)
        case ast.BoolOp(op=op, values=parts):
            yield "and, or", _with(node, op=ast.And() if isinstance(op, ast.Or) else ast.Or())
            for rest in _without(parts):
                yield "check left out", rest[0] if len(rest) == 1 else _with(node, values=rest)
        case ast.UnaryOp(op=ast.Not(), operand=inner):
            yield "turned", inner
        case ast.BinOp(op=op) if type(op) in COUNTED:
            yield "operator", _with(node, op=COUNTED[type(op)]())
        case ast.IfExp(body=body, orelse=other):
            yield "forced", body
            yield "forced", other
        case _:
            pass


def _of_head(node: ast.If | ast.While | ast.For) -> Iterator[Variant]:
    """Yield a statement whose head is forced or cut short."""
    match node:
        case ast.If():
            yield "forced", _with(node, test=ast.Constant(value=True))
            yield "forced", _with(node, test=ast.Constant(value=False))
        case ast.While():
            yield "forced", _with(node, test=ast.Constant(value=False))
        case ast.For(iter=row):
            yield from (("part of a row", _with(node, iter=one)) for one in _shorter(row))


def _of_statement(node: ast.stmt, parent: ast.AST) -> Iterator[Variant]:
    """Yield a statement left out, or with another sign in it."""
    match node:
        case ast.Expr(value=ast.Call() as call) if _called(call) in SPOKEN:
            pass
        case ast.Raise(exc=ast.Call() as call) if _called(call) == "AssertionError":
            pass
        case ast.Assign(targets=[ast.Name()]) if isinstance(parent, (*DEFINED, ast.Module)):
            pass  # without it a name would be missing
        case ast.AugAssign(op=op) if type(op) in COUNTED:
            yield "left out", ast.Pass()
            yield "operator", _with(node, op=COUNTED[type(op)]())
        case ast.Expr(value=ast.Constant()) | ast.Pass() | ast.Import() | ast.ImportFrom():
            pass
        case ast.Return(value=ast.JoinedStr() | ast.Constant(value=str()) as text) if _said(text):
            yield "check passed", _with(node, value=ast.Constant(value=""))
        case (
            ast.Expr() | ast.AugAssign() | ast.Continue() | ast.Break() | ast.Raise() | ast.Assign()
        ):
            yield "left out", ast.Pass()
        case _:
            pass


def _said(text: ast.expr) -> bool:
    return ast.unparse(text) != "''"


def _of_call(node: ast.Call) -> Iterator[Variant]:
    name, args = _called(node), node.args
    if name in REFUSALS:
        yield "check passed", ast.Name("SOUND", ast.Load())
    elif name in PEELED and args:
        yield "peeled", args[-1]
    if name in {"and_", "or_"} and len(args) > 1:
        yield from (("part of a list", _with(node, args=rest)) for rest in _without(args))
    if name not in EITHER_WAY | SPOKEN and len(args) > 1 and _exchangeable(*args[:2]):
        yield "arguments swapped", _with(node, args=[args[1], args[0], *args[2:]])


def _exchangeable(one: ast.expr, other: ast.expr) -> bool:
    """Tell whether a hand could take two arguments for each other and change something by it."""
    alike = ast.unparse(one) == ast.unparse(other)
    return not (alike or isinstance(one, ast.Constant) or ast.unparse(one) in WHOLE)


def _never_comes(case: ast.match_case) -> bool:
    """Tell whether a case is only there to say that it cannot be."""
    match case.body:
        case [ast.Raise(exc=ast.Call() as call) | ast.Expr(value=ast.Call() as call)]:
            return _called(call) in {"assert_never", "AssertionError"}
        case [ast.Pass()]:
            return True
        case _:
            return False


def _shorter(row: ast.expr) -> Iterator[ast.expr]:
    yield _expression(f"list({ast.unparse(row)})[1:]")
    yield _expression(f"list({ast.unparse(row)})[:-1]")


def _near(value: object) -> Iterator[str | int]:
    match value:
        case bool():
            yield not value
        case int():
            yield value + 1
            if value:
                yield value - 1
        case str():
            for old, new in TEXTS.items():
                changed = re.sub(old, new, value, count=1)
                if changed != value:
                    yield changed
        case _:
            pass
