"""How many of the facts behind an outcome are causes of it, counted on random failing designs.

`LATCHWORK_CAUSES=500` counts on so many failing designs, `LATCHWORK_FIRST_SEED` takes others. Each
cause that is named is tried in the reference simulator, tick by tick.
"""

import os
from collections import Counter
from collections.abc import Callable

from hypothesis import HealthCheck, Phase, given, seed, settings

from tests.causes.test_tree import explained, is_true, matters, played, presses_matter
from tests.design.make import resolved
from tests.strategies.gardens import gardens
from verifier.causes.levers import levered
from verifier.causes.tree import _behind
from verifier.engines.decide import Decider, Effort
from verifier.simulate.variations import shortened
from verifier.system.lower import lower
from verifier.system.model import Form
from verifier.verdict.answer import Verdict

MANY = int(os.environ.get("LATCHWORK_CAUSES", "12"))
FIRST = int(os.environ.get("LATCHWORK_FIRST_SEED", "0"))
_DRAWN = 40  # designs for each seed


def test_each_cause_named_passes(record_property: Callable[[str, object], None]) -> None:
    count: Counter[str] = Counter()
    number = FIRST
    while count["failing designs"] < MANY:
        seed(number)(_round(count))()
        number += 1
    assert count["causes named"] == count["causes that pass"], count
    for name, value in count.items():
        record_property(name, value)


def _round(count: Counter[str]) -> Callable[[], None]:
    @settings(
        max_examples=_DRAWN,
        database=None,
        derandomize=False,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(gardens())
    def one(text: str) -> None:
        if count["failing designs"] < MANY:
            _counted(text, count)

    return one


def _counted(text: str, count: Counter[str]) -> None:
    design, _ = resolved(text)
    if design is None:
        return
    where = lower(design)
    decider, failing = Decider(where, Effort(seconds=0.1)), False
    for asked in where.questions:
        if asked.form is not Form.AVOID:
            continue
        outcome = shortened(where, asked, decider.decide(asked))
        run = outcome.trace
        if outcome.verdict is not Verdict.FAILS or run is None:
            continue
        failing = True
        found = explained(where, asked, run)
        made, states = levered(where.design), played(where, run)
        count["facts looked at"] += len(_behind(found.reasons, found.grounds))
        for why in found.facts:
            count["causes named"] += 1
            true = is_true(where, states, run, why.fact)
            count["causes that pass"] += true and matters(made, asked, run, found, why.fact)
        presses_matter(where, asked, run)
        count["failing claims"] += 1
    count["failing designs"] += failing
