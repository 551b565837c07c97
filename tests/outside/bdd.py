"""Decision diagrams of the package dd: on CUDD where its wheel has that, else in plain Python."""

from collections.abc import Mapping
from typing import Any

try:
    from dd.cudd import BDD
except ImportError:
    import dd.bdd
    from dd.autoref import BDD

    # It looks for functions that are still in use when a manager goes. Where the collector takes a
    # manager and its functions at once there are some, and that is no mistake.
    del dd.bdd.BDD.__del__

Bdd = Any
"""A function, or a manager, of the package, which gives no types."""


def manager() -> Bdd:
    """Return a new manager without variables."""
    return BDD()


def renamed(bdd: Bdd, names: Mapping[str, object], function: Bdd) -> Bdd:
    """Put other variables or values in the place of some; the package complains of none at all."""
    return bdd.let(dict(names), function) if names else function
