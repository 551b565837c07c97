"""Which constructs of the language some texts use: nodes of the tree and their parts, words."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import fields
from enum import Enum
from typing import get_args, get_origin, get_type_hints

from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.syntax import expressions, sentences, tree
from verifier.syntax.parse import parse
from verifier.syntax.words import OTHER, TAKEN


def constructs() -> set[str]:
    """Return the name of everything that the tree can hold, and of every word."""
    found = {f"word {word}" for word in (*TAKEN, *OTHER)}
    for node, choices in CHOICES.items():
        found.add(f"node {node.__name__}")
        found |= {f"{node.__name__}.{name}" for name in choices}
    for one in _types():
        if issubclass(one, Enum):
            found |= {f"{one.__name__} {value.value}" for value in one}
    return found


def used(texts: Iterable[str]) -> Counter[str]:
    """Return how often texts use each construct."""
    found: Counter[str] = Counter()
    for text in texts:
        file = parse(Source("drawn.latch", text), Collector())
        assert file is not None, text
        for node in _nodes(file):
            found[f"node {type(node).__name__}"] += 1
            for name in CHOICES[type(node)]:
                value = getattr(node, name)
                found[f"{type(node).__name__}.{name}"] += value not in {None, False, ()}
            found.update(_enums(node))
        for word in (*TAKEN, *OTHER):
            pattern = r"\s+".join(map(re.escape, word.split()))
            found[f"word {word}"] += bool(re.search(rf"(?<![\w.]){pattern}(?!\w)", text))
    return found


def _nodes(node: tree.Node) -> Iterator[tree.Node]:
    stack: list[object] = [node]
    while stack:
        one = stack.pop()
        if isinstance(one, tree.Node):
            yield one
            stack += [getattr(one, field.name) for field in fields(one) if field.name != "span"]
        elif isinstance(one, tuple):
            stack += one


def _enums(node: tree.Node) -> Iterator[str]:
    for field in fields(node):
        value = getattr(node, field.name)
        if isinstance(value, Enum):
            yield f"{type(value).__name__} {value.value}"


def _choices(node: type[tree.Node]) -> tuple[str, ...]:
    """Return the fields of a node that may be left out, or say yes or no."""
    hints = get_type_hints(node)
    return tuple(
        field.name
        for field in fields(node)
        if field.name != "span"
        if hints[field.name] is bool
        or type(None) in get_args(hints[field.name])
        or (get_origin(hints[field.name]) is tuple and field.name in {"uses", "parameters"})
    )


def _types() -> Iterator[type]:
    for module in (expressions, sentences, tree):
        yield from (one for one in vars(module).values() if isinstance(one, type))


CHOICES = {one: _choices(one) for one in _types() if issubclass(one, tree.Node)}
"""Every node, with its fields that may be left out."""
del CHOICES[tree.Node]
