"""Texts derived from the grammar: read without a mistake, and meaning whatever chance says.

Each is a random walk through the rules of grammar/design.lark, as in P. Purdom, "A sentence
generator for testing parsers", BIT 12, 1972; where a text grows too long the shortest way out of
each rule is taken.
"""

import re
from collections.abc import Iterator, Mapping
from functools import cache
from random import Random

import lark
from lark.grammar import NonTerminal, Rule, Symbol

from verifier.source.shipped import shipped_text

_LONGEST = 25
"""Words from which on the shortest ways are taken."""

_SHORT = 0.5
"""How often the shortest way is taken all the same."""

_PORTS = ("out", "feed", "start", "set", "reset", "on", "i", "told", "side")

_FREE: Mapping[str, tuple[str, ...]] = {
    "NAME": ("b", "l", "m", "p", "h", "k", "w", "x", "y", "n", "t", "f", "q", "r"),
    "MEMBER": tuple(f".{one}" for one in _PORTS),
    "ARGUMENT": ("holds:", "span:", "ways:", "again:"),
    "NUMBER": ("0", "1", "2", "3", "5"),
    "TIME": ("0 s", "1 s", "2 s", "100 ms", "50 ms", "1 tick", "3 ticks", "1 min"),
    "TEXT": ('"a text"',),
    "IS": ("is", "is not"),
    "IS_IN": ("is in", "is not in"),
    "IS_BETWEEN": ("is between", "is not between"),
    "TIMES_IN_ANY": ("times in any",),
    "STARVING_ALLOWED": ("starving allowed:",),
    "COMPARED": ("!=", "<=", "<", ">=", ">"),
    "SIGN": ("+", "-"),
}
"""What may stand for terminals that are no fixed words."""

HOLES = (
    "design a {{ b: button l: latch b -> l.set {} }}",
    "design a {{ m: supply(3) p: pulse(2 s) h: button m -> p h -> p.start {} }}",
    "kind k {{ in i: signal {} }} design a {{ p: k }}",
    "design a {{ rooms x, y passage x <-> y walker w starts in x {} }}",
    "design a {{ keep n: count 0..3 keep t: timer free f: count 0..2 {} }}",
)


@cache
def _grammar() -> lark.Lark:
    # The statements have a name of their own only as a place to begin at.
    return lark.Lark(shipped_text("design.lark"), parser="lalr", start=["file", "_statement"])


@cache
def _rules() -> dict[str, list[Rule]]:
    found: dict[str, list[Rule]] = {}
    for rule in _grammar().rules:
        found.setdefault(rule.origin.name, []).append(rule)
    return found


@cache
def _depths() -> dict[str, int]:
    """Return how many rules deep the shortest text of each name is."""
    found: dict[str, int] = {}
    changed = True
    while changed:
        changed = False
        for name, rules in _rules().items():
            deep = min(_depth(rule, found) for rule in rules)
            if deep < found.get(name, 99):
                found[name], changed = deep, True
    return found


def _depth(rule: Rule, known: Mapping[str, int]) -> int:
    inner = (known.get(one.name, 99) for one in rule.expansion if isinstance(one, NonTerminal))
    return 1 + max(inner, default=0)


def _text(terminal: str, dice: Random) -> str:
    if terminal in _FREE:
        return dice.choice(_FREE[terminal])
    pattern = _grammar().get_terminal(terminal).pattern.value
    return re.sub(r"\[ (\t|\\t)\][+*]", " ", pattern).replace(r"\b", "").replace("\\", "")


def words(start: str, dice: Random) -> Iterator[str]:
    """Yield the words of a random text of a rule."""
    stack: list[Symbol] = [NonTerminal(start)]
    count = 0
    while stack:
        symbol = stack.pop()
        if not isinstance(symbol, NonTerminal):
            count += 1
            yield _text(symbol.name, dice)
            continue
        rules = _rules()[symbol.name]
        if count + len(stack) > _LONGEST or dice.random() < _SHORT:
            least = min(_depth(rule, _depths()) for rule in rules)
            rules = [rule for rule in rules if _depth(rule, _depths()) == least]
        stack.extend(reversed(dice.choice(rules).expansion))


def statements(dice: Random) -> str:
    """A design with some statements that nobody thought of."""
    count = dice.randrange(1, 4)
    said = "\n".join(" ".join(words("_statement", dice)) for _ in range(count))
    return dice.choice(HOLES).format(said)


def file(dice: Random) -> str:
    """A whole file that nobody thought of."""
    return " ".join(words("file", dice))
