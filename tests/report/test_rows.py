"""Which rows are shown, in which order."""

from tests.report.make import VESTIBULE, question, system, trace
from verifier.report.history import Row
from verifier.report.rows import Focus, choose
from verifier.simulate.watch import watch
from verifier.system.model import System


def rows(where: System, claim: str | None, *steps: tuple[int, dict[str, int]]) -> list[Row]:
    asked = question(where, claim) if claim else None
    bad = asked.bad if asked else None
    readings = watch(where, trace(where, *steps), bad, 60).readings
    focus = Focus.of(where.design, asked.claim if asked else None)
    return list(choose(where.design, readings, focus).rows)


def names(found: list[Row]) -> list[str]:
    return [f"{one.name} {one.note}".rstrip() for one in found]


Steps = tuple[tuple[int, dict[str, int]], ...]

BOTH: Steps = ((1, {"ask_out.hand": 1, "ask_in.hand": 1}), (2, {}))


def test_causes_run_downward_and_the_claim_comes_last() -> None:
    found = rows(system(VESTIBULE), "apart", *BOTH)
    assert names(found) == [
        "ask_out",
        "ask_in",
        "open_out",
        "open_in",
        "outer",
        "inner",
        "apart claim",
    ]
    assert [one.name for one in found if one.asked] == ["outer", "inner", "apart"]


def test_only_what_the_claim_depends_on_is_shown() -> None:
    text = VESTIBULE.replace(
        "claim apart", "bell : button lamp_ : toggle bell -> lamp_.press claim apart"
    )
    where = system(text)
    steps: Steps = ((1, {"ask_out.hand": 1, "ask_in.hand": 1, "bell.hand": 1}), (2, {}))
    assert {"bell", "lamp_"} & set(names(rows(where, "apart", *steps))) == set()
    assert {"bell", "lamp_"} <= set(names(rows(where, None, *steps)))


def test_what_never_changes_is_left_out_and_counted() -> None:
    where = system(VESTIBULE)
    readings = watch(where, trace(where, (1, {"ask_in.hand": 1}), (2, {})), None, 60).readings
    found = choose(where.design, readings, Focus.of(where.design))
    assert names(list(found.rows)) == ["ask_in", "open_in", "inner"]
    assert found.resting == len(where.design.parts) - 3


def test_an_output_that_its_timer_does_not_tell_is_shown_too() -> None:
    text = """design d {
      mains : supply(4) go : button wait : on_delay(1 s) mains -> wait go -> wait.start
      claim c: never wait.on
    }"""
    found = rows(system(text), "c", (15, {"go.hand": 1}), (3, {}))
    assert names(found) == ["go", "wait", "wait left", "c claim"]


def test_a_part_that_starves_shows_what_it_gets() -> None:
    text = """design d {
      mains : supply(4, drops: 1) sun : toggle(starts: yes) hand : button hand -> sun.press
      sun -> mains.told pump : load(3) mains -> pump
    }"""
    found = rows(system(text), "fed", (2, {}), (3, {"hand.hand": 1}), (9, {}))
    assert "pump gets" in names(found)
    assert "pump" not in names(found)


def test_a_name_for_the_claims_own_condition_is_not_shown_twice() -> None:
    text = VESTIBULE.replace(
        'claim apart "never both ajar": never outer.ajar and inner.ajar',
        "let both = outer.ajar and inner.ajar claim apart: never both",
    )
    found = rows(system(text), "apart", *BOTH)
    assert "both let" not in names(found)
    assert {"outer", "inner"} <= {one.name for one in found if one.asked}


def test_a_claim_about_counts_is_about_what_counts() -> None:
    text = """design d {
  go : button
  keep laps: count 0 .. 2
  laps becomes laps + 1 when go
  keep seen: flag
  seen becomes go
}"""
    where = system(text)
    found = rows(where, "counts", (1, {"go.hand": 1}), (1, {}), (1, {"go.hand": 1}), (4, {}))
    assert names(found) == ["go", "laps", "counts claim"]
    assert [one.name for one in found if one.asked] == ["laps", "counts"]


def test_of_very_many_rows_those_that_are_told_stay() -> None:
    lines = [
        f"  lever_{at} : lever  bulb_{at} : latch  lever_{at} -> bulb_{at}.set" for at in range(9)
    ]
    where = system("\n".join(["design d {", *lines, "}"]))
    pulls = {f"lever_{at}.hand": 1 for at in range(9)}
    readings = watch(where, trace(where, (1, {}), (1, pulls), (9, {})), None, 60).readings
    every = choose(where.design, readings, Focus.of(where.design))
    few = choose(where.design, readings, Focus.of(where.design), most=5)
    assert (len(few.rows), few.resting) == (5, every.resting + len(every.rows) - 5)
    assert set(names(list(few.rows))) <= set(names(list(every.rows)))
    assert names(list(few.rows)) == [
        one for one in names(list(every.rows)) if one in names(list(few.rows))
    ]


FRAIL = """\
kind frail {
  in  coil: signal
  free fault: one of (sound, dead, welded)
  free slack: count 1 .. 3
  out out: signal = coil and fault is sound and slack < 3
}
design d {
  tick 100 ms
  hand : button
  q[1..2] : frail
  for i in 1..2 { q[i].coil when hand }
  free wind: one of (calm, gale)
  let dark = not q[1] and not q[2] and wind is calm
  claim c: hand leads to not dark within 0 s
}
"""


def test_a_choice_inside_a_kind_has_a_row_where_it_is_not_at_rest() -> None:
    where = system(FRAIL)
    press = {"hand.hand": 1, "q[1].fault": 1, "q[2].slack": 2}
    found = names(rows(where, "c", (2, {}), (1, press)))
    assert {"q[1].fault", "q[2].slack"} <= set(found)
    assert not {"q[2].fault", "q[1].slack", "hand.hand"} & set(found)


def test_a_choice_that_stands_from_first_to_last_has_a_row_too() -> None:
    where = system(FRAIL)
    readings = watch(where, trace(where, (5, {"q[1].fault": 2, "wind": 1})), None).readings
    found = choose(where.design, readings, Focus.of(where.design)).rows
    assert {"q[1].fault", "wind"} <= {one.name for one in found}
    assert "q[2].fault" not in {one.name for one in found}
