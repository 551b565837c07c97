"""Every claim of the bank gets the verdict that is known of it, from the whole verifier."""

import pytest

from tests.bank.families import FAMILIES
from tests.bank.garden import FINE, Garden
from verifier import pipeline
from verifier.verdict.answer import Reach, Verdict

# Those that take the longest are run behind `slow`; each family has a small one that is not.
LONG = (
    "lever lock, 8",
    "lever lock, 16",
    "ring of timers, 16",
    "ring of timers, 32",
    "independent buttons, 8",
    "independent buttons, 12",
    "plant of 8",
    "unrelated timers",
)

GARDENS = [make() for makers in FAMILIES.values() for make in makers]


def is_long(garden: Garden) -> bool:
    """Whether a garden is left for the slow run."""
    return garden.name.startswith(LONG)


def said(garden: Garden) -> dict[str, Verdict]:
    """Return the verdict of each claim; one that does not go all the way is none."""
    found = {}
    for answer in pipeline.answers(garden.system(FINE), pipeline.CheckSettings()):
        outcome = answer.outcome
        assert not outcome.fault, answer.question.name
        whole = outcome.reach is Reach.FOREVER
        found[answer.question.name] = outcome.verdict if whole else Verdict.UNKNOWN
    return found


def wrong(garden: Garden, found: dict[str, Verdict]) -> dict[str, Verdict]:
    """Return the verdicts that are not those known."""
    known = garden.verdicts
    return {name: verdict for name, verdict in found.items() if verdict is not known[name]}


SHORT_ONES = [one for one in GARDENS if not is_long(one)]
LONG_ONES = [one for one in GARDENS if is_long(one)]


@pytest.mark.parametrize("garden", SHORT_ONES, ids=lambda garden: garden.name)
def test_verdicts_are_those_known(garden: Garden) -> None:
    assert wrong(garden, said(garden)) == {}


@pytest.mark.slow
@pytest.mark.parametrize("garden", LONG_ONES, ids=lambda garden: garden.name)
def test_verdicts_of_large_ones_are_those_known(garden: Garden) -> None:
    assert wrong(garden, said(garden)) == {}


def test_each_family_has_what_holds_and_what_a_planted_fault_breaks() -> None:
    for family, makers in FAMILIES.items():
        gardens = [make() for make in makers]
        assert {one.family for one in gardens} == {family}
        sound = [one for one in gardens if not broken(one)]
        assert sound
        assert any(broken(one) for one in gardens)
        assert all(claim.why for one in gardens for claim in one.claims)


def broken(garden: Garden) -> bool:
    """Whether a fault is planted in a garden."""
    return "fault" in garden.size or garden.size.startswith(("first", "half"))


def test_names_tell_gardens_apart() -> None:
    assert len({garden.name for garden in GARDENS}) == len(GARDENS)
