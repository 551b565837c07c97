"""Decision diagrams of the package dd: on CUDD where the wheel has it, else in plain Python."""

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
