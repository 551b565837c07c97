"""Settings for the whole test suite: how hard the property tests look.

`HYPOTHESIS_PROFILE=nightly` looks longer and at new examples each time; the default always looks at
the same ones, so that a red run is red again.
"""

import os
from collections import Counter
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, settings


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how much was tried by tests that count it (`record_property`)."""
    tried: Counter[str] = Counter()
    for report in terminalreporter.getreports("passed"):
        for name, value in report.user_properties:
            tried[name] += int(str(value))
    for name, number in sorted(tried.items()):
        terminalreporter.write_line(f"tried without a fall: {number} {name}")


settings.register_profile(
    "ci",
    derandomize=True,
    deadline=None,
    max_examples=60,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile(
    "nightly",
    deadline=timedelta(minutes=2),
    max_examples=2_000,
    suppress_health_check=[HealthCheck.too_slow],
    print_blob=True,
)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))
