"""Retuning in words: what to dial and how sure that is, or why nothing serves."""

from dataclasses import replace

import pytest

from tests.report.make import paper
from tests.tuning.make import rig_of
from verifier.report.retune import summary, write_retuned
from verifier.tuning.clash import Clash
from verifier.tuning.retune import MOST_UNSURE, Aim, Answered, Found, Goal, Unsure
from verifier.tuning.retune_answer import Retuned
from verifier.verdict.answer import Outcome, Reach, Verdict

RIG = rig_of("""\
design post {
  setting burns = 2 s tunable 1 s .. 20 s
  setting lamps = 1 tunable 1 .. 3
  hand  : button
  glow  : pulse(burns)
  mains : supply(lamps)
  mains -> glow
  hand -> glow.start
  claim enough: glow.on lasts at least 4 s
  claim saving: glow.on lasts at most 5 s
}
""")
NOW, SERVES = (20, 1), (40, 1)
FOREVER = Outcome(Verdict.HOLDS, Reach.FOREVER)
FAILS = Outcome(Verdict.FAILS, reason="shown")
UNKNOWN = Outcome(Verdict.UNKNOWN, reason="time was up")
NOTHING = Found(None, (), best=False, closed=True, spent=False, unsure=())


def answered(**claims: Outcome) -> tuple[Answered, ...]:
    return tuple(Answered(name, outcome) for name, outcome in claims.items())


HOLD = answered(enough=FOREVER, saving=FOREVER)
FOUND = Found(SERVES, HOLD, best=True, closed=True, spent=False, unsure=())
SERVED = Retuned(RIG, Goal(), NOW, HOLD, FOUND, (), (), None, 0, 0, 2)
NONE = replace(
    SERVED,
    found=NOTHING,
    none_by=("z3", "cvc5"),
    clash=Clash(("enough", "saving"), ((20, 1), (40, 2))),
    regions=2,
    points=1,
)


def told(found: Retuned) -> str:
    board, stream = paper(100)
    write_retuned(board, found, 100_000_000)
    return " ".join(stream.getvalue().split())


def test_what_to_dial() -> None:
    text = told(SERVED)
    assert text.startswith("post tuned.latch, tick 0.1 s With these values all 2 claims hold:")
    assert "burns 4 s now 2 s, of 1 s .. 20 s lamps 1 as it is, of 1 .. 3" in text
    assert "with these values: proved for ever, or shown by a run." in text
    assert text.endswith(
        "No values that change less of it serve. Nothing had to be ruled out"
        " (2 answers for 573 settings)."
    )


def test_what_may_stay_as_it_is() -> None:
    stays = replace(SERVED, found=replace(FOUND, at=NOW), before=HOLD[:1])
    assert summary(stays) == "As it stands its claim holds; leave it so:"
    assert summary(replace(stays, before=HOLD)) == "As it stands all 2 claims hold; leave it so:"
    assert "change less" not in told(stays)


@pytest.mark.parametrize(
    ("goal", "unsure", "words"),
    [
        (Goal(Aim.LEAST, 0), False, "No lower value of `burns` serves."),
        (Goal(Aim.MOST, 1), False, "No higher value of `lamps` serves."),
        (Goal(Aim.MOST, 0), True, "No higher value of `burns` serves among those that are known."),
    ],
)
def test_how_good_it_is(goal: Goal, words: str, *, unsure: bool) -> None:
    open_ = (Unsure((50, 1), "enough", "time was up"),) if unsure else ()
    assert words in told(replace(SERVED, goal=goal, found=replace(FOUND, unsure=open_)))
    more = replace(SERVED, goal=goal, found=replace(FOUND, best=False))
    assert "There may be better values: not all were looked at." in told(more)


def test_a_claim_known_up_to_a_time_only_is_not_called_proved() -> None:
    until = Outcome(Verdict.HOLDS, Reach.UP_TO, until=600)
    one = replace(FOUND, answers=answered(enough=until, saving=FOREVER))
    assert "values; `enough` is covered up to a time only." in told(replace(SERVED, found=one))
    both = replace(FOUND, answers=answered(enough=until, saving=until))
    assert "`enough`, `saving` are covered up to a time only." in told(replace(SERVED, found=both))


def test_what_fails_as_it_stands_and_what_no_longer_happens() -> None:
    before = answered(enough=FAILS, saving=UNKNOWN)
    text = told(replace(SERVED, before=before, idle=("saving",)))
    assert (
        "As it stands: `enough` fails: shown; `saving` is not known to hold (time was up)." in text
    )
    assert "But what `saving` is about never happens with these values." in text
    text = told(replace(SERVED, idle=("enough", "saving")))
    assert "But what `enough`, `saving` are about never happens" in text


@pytest.mark.parametrize(
    ("regions", "points", "words"),
    [
        (1, 0, "1 failing run or proof, each for a whole region that was tried out at some places"),
        (0, 1, "Ruled out by 1 setting one at a time ("),
        (2, 3, "2 failing runs or proofs, each for a whole region that was tried out at some"),
    ],
)
def test_how_settings_were_ruled_out(regions: int, points: int, words: str) -> None:
    text = told(replace(SERVED, regions=regions, points=points, calls=1))
    assert words in text
    assert "(1 answer for 573 settings)" in text


def unsure(count: int, *, spent: bool = False, lacks: str = "") -> Retuned:
    open_ = tuple(Unsure((20 + n, 1), "enough", "time was up") for n in range(count))
    return replace(SERVED, found=replace(NOTHING, unsure=open_, spent=spent, lacks=lacks))


def test_what_is_not_known_is_told_with_its_place() -> None:
    text = told(unsure(4))
    assert "No values that serve were found, and none are ruled out for certain." in text
    assert "Not known with burns = 2.2 s, lamps = 1: `enough` (time was up)." in text
    assert text.endswith("Nor at 1 more setting.")
    assert told(unsure(5)).endswith("Nor at 2 more settings.")


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (unsure(1, spent=True, lacks="z3 gave up"), "The search ended there: z3 gave up."),
        (unsure(MOST_UNSURE, spent=True), "too much stayed unknown; `--effort` tries harder."),
        (unsure(1, spent=True), "The answers allowed were used up; `--calls` allows more."),
    ],
)
def test_why_a_search_ended(found: Retuned, words: str) -> None:
    assert told(found).endswith(words)


# --- nothing serves -------------------------------------------------------------------------------


def test_claims_that_clash() -> None:
    text = told(NONE)
    assert "No values serve: with each of the 573 settings some claim fails." in text
    assert "that nothing is left was found by z3 and by cvc5" in text
    assert "`enough` and `saving` clash: no values serve both." in text
    assert "Without `enough`: burns = 2 s, lamps = 1 serve the rest of them." in text
    three = Clash(("enough", "saving", "dim"), ((20, 1), None, (40, 2)))
    text = told(replace(NONE, clash=three))
    assert "`enough` and `saving` and `dim` clash: no values serve all." in text
    assert "Whether `saving` is needed for the clash is not known." in text


def test_one_claim_that_cannot_be_kept() -> None:
    text = told(replace(NONE, clash=Clash(("enough",), (None,))))
    assert text.endswith(
        "`enough` alone cannot be kept by any of these values; `--without` leaves it out."
    )
    assert told(replace(NONE, clash=Clash((), ()))).endswith(
        "With none of these values it is a design of which any run counts."
    )


def test_a_clash_that_is_not_proved_is_not_told() -> None:
    assert "clash" not in told(replace(NONE, none_by=()))


def test_with_one_dial_and_one_place() -> None:
    rig = rig_of("design d {\n  setting n = 2 tunable 2 .. 2\n  mains : supply(n)\n}\n")
    one = replace(NONE, rig=rig, clash=Clash(("enough", "saving"), ((2,), (2,))))
    assert summary(one) == "No values serve: with the only setting some claim fails."
    assert "Without `enough`: n = 2 serves the rest of them." in told(one)
