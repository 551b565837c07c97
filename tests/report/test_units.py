"""Units in words: who goes short, how little will do, how taps must be set."""

import json
from importlib.resources import files
from typing import Any

import jsonschema
import pytest

from tests.report.make import paper, system, trace
from verifier.report.clock import Clock
from verifier.report.record import text_of
from verifier.report.units import Found, failure, summary, write_units
from verifier.report.units_record import units_record
from verifier.tuning.supply import NO_DESIGN, Knob, Tried
from verifier.tuning.supply_least import Least
from verifier.tuning.supply_taps import NoSettings, Settings
from verifier.tuning.units import Extreme, Gets, Needs
from verifier.verdict.answer import Outcome, Verdict
from verifier.verdict.trace import Lasso, Trace

WHERE = system("""\
design yard {
  tick 100 ms
  hand  : button
  mains : supply(2)
  bulb  : lamp(draw: 1)
  mains -> bulb
  claim lit_always: bulb.lit returns
  claim never_pressed: never hand
  claim can_press: possible hand
  claim stays_open: always possible hand
}
""")
PRESS = trace(WHERE, (5, {}), (1, {"hand.hand": 1}))
REST = trace(WHERE, (3, {}))
CLOCK = Clock(100_000_000)
MAINS = Knob("mains", "amount", 0, 0, 2)
HOLDS = Outcome(Verdict.HOLDS)


def end(met: int, proved: int | None = None, until: int | None = None) -> Extreme:
    return Extreme(met, met if proved is None else proved, REST, until)


def gets(part: str, needs: int, least: Extreme | None, *, dry: bool = False) -> Gets:
    return Gets(part, needs, dry, least, None if least is None else end(9), None)


FED, SHORT = gets("bulb", 2, end(2)), gets("pump", 4, end(1))
DRY, OPEN = gets("bell", 1, None, dry=True), gets("lift", 3, None)


def found(*parts: Gets, drawn: Extreme | None = None) -> Found:
    return Found(Needs(WHERE, parts, drawn), (), None)


def told(one: Found, columns: int = 100) -> str:
    board, stream = paper(columns)
    write_units(board, one)
    return stream.getvalue()


# --- who goes short -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ((), "No part of this design needs any units."),
        ((FED,), "Whatever arrives at a part is enough for it, proved."),
        ((FED, SHORT), "pump can starve."),
        ((DRY,), "bell never gets anything."),
        ((DRY, gets("gong", 1, None, dry=True)), "bell, gong never get anything."),
        ((OPEN,), "It is not known whether all that arrives at lift is enough."),
        (
            (SHORT, OPEN),
            "pump can starve; it is not known whether all that arrives at lift is enough.",
        ),
    ],
)
def test_summary(parts: tuple[Gets, ...], words: str) -> None:
    assert summary(found(*parts)) == words


@pytest.mark.parametrize(
    ("drawn", "words"),
    [
        (end(1), "draw 1 unit."),
        (end(9), "draw 9 units."),
        (end(0, 1), "draw at least 0 and at most 1 unit."),
        (end(4, 9), "draw at least 4 and at most 9 units."),
        (end(4, 4, until=20), "draw at least 4 and at most 4 units, proved up to 2 s only."),
    ],
)
def test_what_all_draw_is_told_as_far_as_it_is_known(drawn: Extreme, words: str) -> None:
    assert summary(found(FED, drawn=drawn)).endswith(f"At the worst all together {words}")


def test_the_table_marks_what_is_not_known_to_the_unit() -> None:
    lines = told(found(FED, DRY, OPEN, gets("sluice", 2, end(3, 2)))).splitlines()
    rows = {line.split()[0]: " ".join(line.split()[1:]) for line in lines if line[:2] == "  "}
    assert rows["bulb"] == "2 units 2 units 9 units enough"
    assert rows["bell"] == "1 unit nothing nothing never gets anything"
    assert rows["lift"] == "3 units ? ? not known"
    assert rows["sluice"] == "2 units ~3 units 9 units enough"
    assert rows["~"].startswith("as far as is known")
    assert "~" not in told(found(FED))


def test_enough_so_far_is_not_called_proved() -> None:
    idle = Gets("bulb", 2, False, end(2, until=50), end(9), REST)
    assert "enough so far; at times nothing" in told(found(idle))


def test_one_that_starves_from_the_start_has_no_events() -> None:
    assert "pump gets 1 of the 4 units it needs, at 0.2 s:\n  It is so from the start." in told(
        found(SHORT)
    )


# --- how little will do ---------------------------------------------------------------------------


def fails(value: int, claim: str, trace: Trace | None = None, lasso: Lasso | None = None) -> Tried:
    outcome = Outcome(Verdict.FAILS, trace=trace, lasso=lasso)
    return Tried(value, holds=False, claim=claim, outcome=outcome, system=WHERE)


def unknown(value: int, claim: str) -> Tried:
    outcome = Outcome(Verdict.UNKNOWN, reason="time was up")
    return Tried(value, holds=None, claim=claim, outcome=outcome, system=WHERE)


def serves(value: int) -> Tried:
    return Tried(value, holds=True, claim=None, outcome=HOLDS, system=WHERE)


def no_design(value: int) -> Tried:
    reason = Outcome(Verdict.FAILS, reason=NO_DESIGN)
    return Tried(value, holds=False, claim="", outcome=reason, system=None)


@pytest.mark.parametrize(
    ("tried", "words"),
    [
        (fails(1, "never_pressed", trace=PRESS), "`never_pressed` fails at 0.5 s"),
        (fails(1, "can_press"), "`can_press` fails"),
        (
            fails(1, "stays_open", trace=trace(WHERE)),
            "`stays_open` fails: it can never come, proved",
        ),
        (
            fails(1, "stays_open", trace=PRESS),
            "`stays_open` fails at 0.6 s: from then on it cannot come any more",
        ),
        (
            fails(1, "lit_always", trace=PRESS, lasso=Lasso(PRESS, 1)),
            "`lit_always` fails: a run waits for ever",
        ),
        (unknown(1, "can_press"), "`can_press` is not known to hold (time was up)"),
        (no_design(1), NO_DESIGN),
    ],
)
def test_how_an_amount_fails(tried: Tried, words: str) -> None:
    assert failure(CLOCK, tried) == words


def least(
    *tried: Tried,
    left_out: tuple[str, ...] = (),
    unsettled: tuple[str, ...] = (),
    above: tuple[Tried, ...] = (),
    refuted: Tried | None = None,
    parts: tuple[Gets, ...] = (FED,),
) -> str:
    one = Least(MAINS, tried, left_out, unsettled, above, refuted)
    text = told(Found(Needs(WHERE, parts, None), (one,), None))
    return " ".join(text.split("How little may ")[1].split())


def test_the_least_amount_with_the_run_against_less() -> None:
    next_less = fails(1, "never_pressed", trace=PRESS)
    text = least(fails(0, "can_press"), next_less, serves(2), refuted=next_less)
    assert "`mains` give (amount, now 2 units)?" in text
    assert "2 units will do: all claims hold and each part can get its units, proved." in text
    assert "With 1 not: `never_pressed` fails at 0.5 s: 0.5 s ▸ someone presses hand" in text
    assert text.endswith("Each smaller amount down to 0 was tried and shown to fail as well.")


def test_an_amount_that_is_not_known_to_fail_is_not_said_to() -> None:
    text = least(unknown(0, "can_press"), unknown(1, "can_press"), serves(2), refuted=None)
    assert text.endswith("Not known for 0 to 1: it may be less.")
    text = least(unknown(1, "can_press"), serves(2), refuted=unknown(1, "can_press"))
    assert "With 1 it is not known: `can_press` is not known to hold (time was up)." in text


def test_amounts_that_were_not_tried_are_told() -> None:
    assert least(serves(70)).endswith("Not tried: 0 to 69.")
    text = least(fails(6, "can_press"), serves(7), refuted=fails(6, "can_press"))
    assert text.endswith("`can_press` fails. Not tried: 0 to 5.")
    text = least(no_design(0), serves(1), serves(3), serves(7), refuted=no_design(0))
    assert text.endswith("Not tried: 2 and 4 to 6.")
    text = least(no_design(0), fails(1, "can_press"), serves(2), serves(9))
    assert text.endswith("was tried and shown to fail as well. Not tried: 3 to 8.")


def test_of_one_unit_nothing_else_is_smaller_but_nothing() -> None:
    text = least(no_design(0), serves(1), refuted=no_design(0))
    assert text.endswith(
        "1 unit will do: all claims hold and each part can get its units, proved. "
        f"With 0 not: {NO_DESIGN}."
    )


def test_more_is_not_always_better() -> None:
    holes = fails(3, "never_pressed", trace=PRESS), unknown(5, "can_press")
    text = least(serves(2), holes[0], serves(4), holes[1])
    assert "But 3 fails, though it is more: `never_pressed` fails at 0.5 s." in text
    assert "But 5 is not known to serve, though it is more: `can_press` is not known" in text


def test_what_is_left_out_is_named_with_why() -> None:
    text = least(serves(1), serves(2), left_out=("dark",), unsettled=("late", "dim"))
    assert "Left out, as it fails with 2: dark." in text
    assert "Left out, as not known to hold for ever with 2: late, dim." in text
    assert "1 unit will do: all other claims hold" in text
    text = least(serves(2), left_out=("dark", "dim"), above=(fails(3, "dim"), fails(4, "dim")))
    assert (
        "Left out, as they fail with 2 and no amount up to 4 was shown to serve all claims:"
        " dark, dim." in text
    )


def test_nothing_is_said_of_parts_left_out() -> None:
    bulb, bell = "bulb gets its 2", "bell gets its 1"
    text = least(serves(1), serves(2), left_out=(bulb,), parts=(FED, DRY))
    assert "1 unit will do: all claims hold and each part but bulb can get its units," in text
    text = least(serves(1), left_out=("dark", bulb), unsettled=(bell,), parts=(FED, DRY, SHORT))
    assert "all other claims hold and each part but bulb and bell can get its units," in text
    text = least(serves(1), unsettled=(bulb,))
    assert "1 unit will do: all claims hold, proved." in text


def test_no_amount_serves() -> None:
    rows = fails(0, "can_press"), fails(1, "can_press"), fails(2, "can_press")
    assert least(*rows).endswith("No amount tried serves: 0 to 2.")
    assert least(rows[0], rows[2]).endswith("No amount tried serves: 0, 2.")
    assert least(rows[1]).endswith("No amount tried serves: 1.")


# --- taps -----------------------------------------------------------------------------------------

TAP = Knob("tap", "amount", 1, 0, 2)


def settings(one: Settings | NoSettings) -> str:
    return " ".join(told(Found(Needs(WHERE, (FED,), None), (), one)).split("?")[-1].split())


def test_taps_with_all_that_was_checked() -> None:
    one = Settings((("mains", 3), ("spare", 1)), ((MAINS, 2), (TAP, 1)), True, True, ())
    assert settings(one) == (
        "With 3 units from mains and 1 unit from spare each part gets what it needs:"
        " mains 2 units (as it is) tap 1 unit (now 2)"
        " Made so, the design was checked: each part gets its units and none starves, proved."
        " With 3 units in all no amounts of the taps serve, shown by the solver."
    )


def test_taps_of_which_less_is_proved() -> None:
    text = settings(Settings((("mains", 3),), ((TAP, 1),), False, False, ("dark", "dim")))
    assert "checked, but not all of that could be proved." in text
    assert "no amounts of the taps serve" not in text
    assert text.endswith("These claims hold as it is and then do not: dark, dim.")


def test_a_claim_alone_is_told_as_one() -> None:
    text = settings(Settings((("mains", 3),), ((TAP, 1),), False, True, ("dark",)))
    assert text.endswith("This claim holds as it is and then does not: dark.")


@pytest.mark.parametrize(
    ("why", "words"),
    [
        (NoSettings(switched="relay"), "Power is switched at `relay`, so they cannot be worked"),
        (NoSettings(words="none serve"), "No amounts at all serve, shown by the solver."),
        (NoSettings(words="it took too long"), "Nothing is known: it took too long."),
    ],
)
def test_why_no_taps_are_proposed(why: NoSettings, words: str) -> None:
    assert settings(why).startswith(words)


# --- as a record ----------------------------------------------------------------------------------


def recorded(one: Found) -> dict[str, Any]:
    """Return the record, written, read back and found to fit its schema."""
    text = files("verifier.report").joinpath("units.schema.json").read_text(encoding="utf-8")
    record: dict[str, Any] = json.loads(text_of(units_record(one)))
    jsonschema.Draft202012Validator(json.loads(text)).validate(record)
    return record


def test_what_is_not_known_is_null_in_a_record() -> None:
    parts = recorded(found(FED, SHORT, DRY, OPEN))["parts"]
    told = {one["name"]: (one["verdict"], one["least"] and one["least"]["met"]) for one in parts}
    assert told == {
        "bulb": ("enough", 2),
        "pump": ("starves", 1),
        "bell": ("nothing", None),
        "lift": ("unknown", None),
    }


def test_parts_left_out_are_named_in_a_record() -> None:
    names = "dark", "bulb gets its 2"
    one = Least(MAINS, (serves(1),), names, ("bell gets its 1",), (), None)
    (read,) = recorded(Found(Needs(WHERE, (FED, DRY), None), (one,), None))["least"]
    assert read["parts_left_out"] == ["bulb", "bell"]
    assert (read["left_out"], read["unsettled"]) == ([*names], ["bell gets its 1"])


@pytest.mark.parametrize(
    ("one", "taps"),
    [
        (None, None),
        (
            NoSettings(switched="relay"),
            {"found": False, "switched": "relay", "reason": ""},
        ),
        (
            Settings((("mains", 3),), ((TAP, 1),), False, True, ("dark",)),
            {
                "found": True,
                "sources": [{"part": "mains", "amount": 3}],
                "taps": [{"part": "tap", "now": 2, "amount": 1}],
                "none_with_less": False,
                "proved": True,
                "broken": ["dark"],
            },
        ),
    ],
)
def test_taps_in_a_record(one: Settings | NoSettings | None, taps: object) -> None:
    assert recorded(Found(Needs(WHERE, (FED,), None), (), one))["taps"] == taps


def test_the_moment_of_a_failure_is_that_of_the_words() -> None:
    row = fails(0, "stays_open", trace=PRESS), fails(1, "never_pressed", trace=PRESS)
    one = Least(MAINS, row, (), (), (no_design(3), fails(4, "can_press")), None)
    (read,) = recorded(Found(Needs(WHERE, (FED,), None), (one,), None))["least"]
    assert [tried["at_ms"] for tried in read["tried"]] == [600, 500]
    assert [tried["at_ms"] for tried in read["tried_above"]] == [None, None]
