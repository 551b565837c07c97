"""What of a design has a rhythm, and under which name."""

import pytest

from tests.tuning.ready import made
from verifier.design.model import Compare, Live
from verifier.tuning.rhythm_items import Sort, items_of

YARD = """\
design yard {
  tick 100 ms
  hand  : button
  wait  : pulse(2 s)
  bulb  : lamp
  pump  : load(needs: 1)
  gate  : door(opens: 1 s, shuts: 1 s)
  both  : and_gate
  bolt  : latch
  tally : counter(limit: 3)
  hub   : relay
  mains : supply(2)
  shown : dial(2 s)
  let dark = not bulb.lit
  let many = tally.value + 1
  keep seen: flag
  seen becomes hand
  keep laps: count 0..3
  laps becomes 1 when hand
CLAIMS
}
kind dial(span: time) "shows what is left" {
  in x: signal
  out value: power = at
  keep at: count 0..3
  at becomes 2 when x
}
"""


def items(*claims: str) -> dict[str, Sort]:
    lines = "\n".join(f"  claim c{at}: {one}" for at, one in enumerate(claims))
    return {one.name: one.sort for one in items_of(made(YARD.replace("CLAIMS", lines)))[1]}


def test_parts_count_by_what_can_be_read_on_them() -> None:
    assert items() == {
        "wait": Sort.TIMER,
        "bulb": Sort.PART,
        "pump": Sort.PART,
        "gate.ajar": Sort.DOOR,
        "gate.open": Sort.DOOR,
        "both": Sort.PART,
        "bolt": Sort.PART,
        "tally": Sort.PART,
        "hub": Sort.PART,
        "shown": Sort.PART,
        "dark": Sort.CONDITION,
        "seen": Sort.CONDITION,
    }


@pytest.mark.parametrize(
    ("claim", "name"),
    [
        ("always dark or seen", "dark or seen"),
        ("never dark and seen", "dark and seen"),
        ("possible dark and seen within 5 s", "dark and seen"),
        ("eventually dark and seen within 5 s", "dark and seen"),
        ("dark and seen lasts at most 3 s", "dark and seen"),
        ("dark and seen returns within 3 s", "dark and seen"),
    ],
)
def test_a_condition_that_a_claim_is_about_is_one_too(claim: str, name: str) -> None:
    told = {name: sort for name, sort in items(claim).items() if sort is Sort.CLAIM}
    assert told == {name: Sort.CLAIM}


@pytest.mark.parametrize("claim", ["never dark", "dark leads to seen", "seen only after dark"])
def test_what_is_told_already_or_is_no_single_condition_is_not(claim: str) -> None:
    assert Sort.CLAIM not in items(claim).values()


def test_an_amount_is_on_while_it_is_above_nothing() -> None:
    found = {one.name: one for one in items_of(made(YARD.replace("CLAIMS", "")))[1]}
    assert isinstance(found["shown"].on, Compare)
    assert isinstance(found["bulb"].on, Live)
