"""All designs of the bank, in the order of the bench's table."""

from collections.abc import Callable

from tests.bank.garden import Garden
from tests.bank.grounds import plant, taps
from tests.bank.people import beds, lever_lock, vestibule
from tests.bank.timers import grotto, hedge_gates, lanterns, ring

Maker = Callable[[], Garden]

FAMILIES: dict[str, tuple[Maker, ...]] = {
    "two timers in a loop": (grotto, lambda: grotto(fault=True)),
    "doors that swap": (
        hedge_gates,
        lambda: hedge_gates(fault=True),
        lambda: hedge_gates(held="1 tick"),
        lambda: hedge_gates(held="3 s"),
        lambda: hedge_gates(held="3 s", fault=True),
    ),
    "lever lock": (
        lambda: lever_lock(4),
        lambda: lever_lock(8),
        lambda: lever_lock(16),
        lambda: lever_lock(4, fault=True),
        lambda: lever_lock(8, fault=True),
        lambda: lever_lock(16, fault=True),
    ),
    "vestibule": (
        lambda: vestibule("first", held=True),
        lambda: vestibule("half-mended", held=True),
        lambda: vestibule("mended", held=True),
        lambda: vestibule("first", held=False),
        lambda: vestibule("half-mended", held=False),
        lambda: vestibule("mended", held=False),
    ),
    "ring of timers": (
        lambda: ring(8),
        lambda: ring(16),
        lambda: ring(32),
        lambda: ring(8, pulled=True),
        lambda: ring(16, pulled=True),
        lambda: ring(32, pulled=True),
        lambda: ring(8, fault=True),
        lambda: ring(32, pulled=True, fault=True),
    ),
    "independent buttons": (
        lambda: beds(4),
        lambda: beds(8),
        lambda: beds(12),
        lambda: beds(4, fault=True),
        lambda: beds(12, fault=True),
    ),
    "taps": (
        lambda: taps(8),
        lambda: taps(12),
        lambda: taps(8, fault=True),
        lambda: taps(12, fault=True),
    ),
    "plant of 8": (plant, lambda: plant(fault=True)),
    "unrelated timers": (lambda: lanterns(16), lambda: lanterns(16, fault=True)),
}


def gardens() -> list[Garden]:
    """Return every design of every family."""
    return [make() for makers in FAMILIES.values() for make in makers]
