"""Decision diagrams of the package dd: on CUDD where the wheel has it, else in plain Python."""

from collections.abc import Mapping
from typing import Any

try:
    from dd.cudd import BDD
except ImportError:
    from dd.autoref import BDD

Bdd = Any
"""A function of a manager; the package gives no types."""


def manager() -> Bdd:
    """Return a new manager without variables."""
    return BDD()


def renamed(bdd: Bdd, names: Mapping[str, object], function: Bdd) -> Bdd:
    """Put other variables or values in the place of some; the package complains of none at all."""
    return bdd.let(dict(names), function) if names else function
