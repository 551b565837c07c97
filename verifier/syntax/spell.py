"""How names, expressions, types and sentences are written: brackets only where they are needed."""

from typing import assert_never

from verifier.syntax import tree

# How tightly an expression binds; what binds less tightly than its place asks for gets brackets.
CHOICE, OR, AND, NOT, COMPARISON, EDGE, SUM, PRODUCT, ATOM = range(9)

_BINDING = {
    tree.Operator.OR: OR,
    tree.Operator.AND: AND,
    tree.Operator.PLUS: SUM,
    tree.Operator.MINUS: SUM,
    tree.Operator.TIMES: PRODUCT,
    tree.Operator.DIV: PRODUCT,
    tree.Operator.MOD: PRODUCT,
}
_BEFORE_OF = ("all", "any", "none", "sum", "one", "count")


def expression(node: tree.Expression, least: int = CHOICE) -> str:
    """Write an expression for a place where it must bind at least so tightly."""
    text = _bare(node)
    return text if _binding(node) >= least else f"({text})"


def condition(node: tree.Expression) -> str:
    """Write a condition for a place where `when` may follow it."""
    return expression(node, OR)


def value(node: tree.Value) -> str:
    """Write an expression or a range."""
    return wide_range(node) if isinstance(node, tree.Range) else expression(node)


def wide_range(node: tree.Range) -> str:
    """Write a range of times or amounts: `41 min .. 43 min`."""
    return f"{expression(node.low, SUM)} .. {expression(node.high, SUM)}"


def row_range(node: tree.Range) -> str:
    """Write a range of a row or a loop: `1..4`."""
    simple = isinstance(node.low, tree.Number | tree.Ref) and isinstance(
        node.high, tree.Number | tree.Ref
    )
    text = wide_range(node)
    return text.replace(" .. ", "..") if simple and text.count(" .. ") == 1 else text


def index(node: tree.Value | None) -> str:
    """Write the index that a name may carry."""
    if node is None:
        return ""
    return f"[{row_range(node) if isinstance(node, tree.Range) else expression(node)}]"


def declared(node: tree.Declared) -> str:
    """Write the name in a declaration."""
    return f"{node.name}{index(node.index)}"


def ref(node: tree.Ref) -> str:
    """Write a dotted name."""
    return ".".join(f"{one.name}{index(one.index)}" for one in node.steps)


def quoted(text: str) -> str:
    """Write a text."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def number_of(node: tree.Expression) -> str:
    """Write an amount before `of`, so that it makes no other word with it (`sum of`)."""
    text = expression(node, SUM)
    return f"({text})" if text.split()[-1] in _BEFORE_OF else text


# --- expressions ---------------------------------------------------------------------------------


def _binding(node: tree.Expression) -> int:
    match node:
        case tree.Choose():
            return CHOICE
        case tree.Binary():
            return _BINDING.get(node.operator, COMPARISON)
        case tree.Not():
            return NOT
        case tree.InRoom() | tree.Between():
            return COMPARISON
        case tree.Edge():
            return EDGE
        case (
            tree.Number()
            | tree.Time()
            | tree.YesNo()
            | tree.Anywhere()
            | tree.Ref()
            | tree.Tally()
            | tree.WalkersIn()
        ):
            return ATOM
        case _:
            assert_never(node)


def _bare(node: tree.Expression) -> str:
    match node:
        case tree.Choose(then, when, other):
            return f"{condition(then)} when {condition(when)} else {condition(other)}"
        case tree.Binary():
            return _binary(node)
        case tree.Not(inner):
            return f"not {expression(inner, NOT)}"
        case tree.Edge(inner, rising):
            return f"{expression(inner, SUM)} {'starts' if rising else 'ends'}"
        case tree.Tally(measure, number, items):
            many = f"{measure.value} {number_of(number)}" if number is not None else measure.value
            return f"{many} of {_items(items)}"
        case tree.InRoom() | tree.Between() | tree.WalkersIn():
            return _about_walkers(node)
        case tree.Number() | tree.Time() | tree.YesNo() | tree.Anywhere() | tree.Ref():
            return _atom(node)
        case _:
            assert_never(node)


def _atom(node: tree.Number | tree.Time | tree.YesNo | tree.Anywhere | tree.Ref) -> str:
    match node:
        case tree.Number(number):
            return str(number)
        case tree.Time(number, unit):
            return f"{number} {unit}{'s' if unit == 'tick' and number != 1 else ''}"
        case tree.YesNo(yes):
            return "yes" if yes else "no"
        case tree.Anywhere():
            return "anywhere"
        case tree.Ref():
            return ref(node)
        case _:
            assert_never(node)


def _binary(node: tree.Binary) -> str:
    own = _binding(node)
    left, right = (EDGE, EDGE) if own == COMPARISON else (own, own + 1)
    return f"{expression(node.left, left)} {node.operator.value} {expression(node.right, right)}"


def _items(items: tuple[tree.Expression, ...]) -> str:
    if len(items) == 1 and isinstance(items[0], tree.Ref):
        return ref(items[0])
    return f"({', '.join(expression(one) for one in items)})"


def _about_walkers(node: tree.InRoom | tree.Between | tree.WalkersIn) -> str:
    if isinstance(node, tree.WalkersIn):
        return f"count of walkers in {ref(node.room)}"
    who = "someone" if node.walker is None else ref(node.walker)
    verb = "is not" if node.negated else "is"
    if isinstance(node, tree.InRoom):
        return f"{who} {verb} in {ref(node.room)}"
    return f"{who} {verb} between {ref(node.one)} and {ref(node.other)}"


# --- types ---------------------------------------------------------------------------------------


def type_of(node: tree.Type) -> str:
    """Write a type."""
    match node:
        case tree.PlainType(plain):
            return plain.value
        case tree.CountType(counts):
            return f"count {wide_range(counts)}"
        case tree.ChoiceType(options):
            return f"one of ({', '.join(one.text for one in options)})"
        case _:
            assert_never(node)


# --- sentences -----------------------------------------------------------------------------------


def sentence(node: tree.Sentence) -> str:
    """Write the sentence of a claim or an assumption."""
    match node:
        case tree.WhileScope(scope, inner):
            return f"while {condition(scope)}: {sentence(inner)}"
        case tree.AfterScope(scope, inner):
            return f"after {condition(scope)}: {sentence(inner)}"
        case tree.FromUntilScope(opens, shuts, inner):
            begin = condition(opens)
            # `from anywhere` is a scope of its own.
            begin = f"({begin})" if begin.split()[0] == "anywhere" else begin
            return f"from {begin} until {condition(shuts)}: {sentence(inner)}"
        case tree.AnywhereScope(inner):
            return f"from anywhere: {sentence(inner)}"
        case tree.Lasts() | tree.Returns() | tree.LeadsTo() | tree.AtMostTimes():
            return _timed(node)
        case tree.OnlyAfter() | tree.OnlyWhile():
            return _only(node)
        case _:
            return _of_one_condition(node)


def _timed(node: tree.Lasts | tree.Returns | tree.LeadsTo | tree.AtMostTimes) -> str:
    match node:
        case tree.Lasts():
            return f"{condition(node.what)} lasts {_length(node.least, node.most)}"
        case tree.Returns(what, limit):
            return f"{condition(what)} returns{_within(limit)}"
        case tree.LeadsTo(cause, effect, limit):
            return f"{condition(cause)} leads to {condition(effect)}{_within(limit)}"
        case tree.AtMostTimes(what, number, window):
            many = expression(number, SUM)
            times = "time" if many == "1" else "times"
            return f"{condition(what)} at most {many} {times} in any {expression(window, SUM)}"
        case _:
            assert_never(node)


def _length(least: tree.Expression | None, most: tree.Expression | None) -> str:
    if least is None:
        return "" if most is None else f"at most {expression(most, SUM)}"
    if most is None:
        return f"at least {expression(least, SUM)}"
    if least == most:
        return expression(least, SUM)
    return f"{expression(least, SUM)} .. {expression(most, SUM)}"


def _only(node: tree.OnlyAfter | tree.OnlyWhile) -> str:
    if isinstance(node, tree.OnlyWhile):
        return f"{condition(node.what)} only while {condition(node.condition)}"
    steps = " then ".join(f"{condition(one.what)}{_within(one.limit)}" for one in node.links)
    each = "" if node.each is None else f" each within {expression(node.each, SUM)}"
    return f"{condition(node.what)} only after {steps}{each}"


def _of_one_condition(
    node: tree.Never
    | tree.Always
    | tree.Possible
    | tree.NoSooner
    | tree.AlwaysPossible
    | tree.Eventually,
) -> str:
    what = condition(node.what)
    match node:
        case tree.Never():
            return f"never {what}"
        case tree.Always():
            return f"always {what}"
        case tree.Possible():
            whatever = " whatever the spans" if node.whatever else ""
            return f"possible {what}{_within(node.limit)}{whatever}"
        case tree.NoSooner():
            return f"{what} no sooner than {expression(node.limit, SUM)}"
        case tree.AlwaysPossible():
            return f"always possible {what}{_within(node.limit)}"
        case tree.Eventually():
            return f"eventually {what}{_within(node.limit)}"
        case _:
            assert_never(node)


def _within(limit: tree.Expression | None) -> str:
    return "" if limit is None else f" within {expression(limit, SUM)}"
