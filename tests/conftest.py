"""Settings for the whole test suite: how hard the property tests look.

`HYPOTHESIS_PROFILE=nightly` looks longer and at new examples each time; the default always looks at
the same ones, so that a red run is red again.
"""

import os
from datetime import timedelta

from hypothesis import HealthCheck, settings

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
