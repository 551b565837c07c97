"""How parts and the design's own things are told on a page, moment by moment."""

from tests.report.make import answer, system, trace
from tests.report.page.test_looks import of, reasons
from verifier.design.bounds import Measure
from verifier.report.drawing.plan import plan
from verifier.report.drawing.survey import survey
from verifier.report.drawing.wiring import in_order
from verifier.report.page.build import page_of
from verifier.report.page.looks import wires
from verifier.report.page.states import of_design
from verifier.verdict.answer import Margin, Outcome, Reach, Verdict

YARD = """\
design yard {
  tick 100 ms
  a : button
  free mood: one of (calm, cross)
  keep seen: one of (calm, cross)
  seen becomes cross when mood is cross
  keep rest: timer
  rest loads 1 s when a
  keep laps: count 0..9
  laps becomes 7 when a
  mains : supply(12)
  feed  : divider(ways: 6)
  tally : counter(limit: 3)
  sun   : daylight(day: 300 ms, night: 2 s)
  hub   : relay
  bolt  : latch
  box   : twin
  mains -> feed
  feed.way[1] -> hub
  hub.coil when rest > 0 s
  bolt.set when seen is cross and laps > 3
  a -> tally.up
  a -> box.ask
  claim quiet: always possible not bolt
}
kind twin "two in one" {
  in ask: signal
  one : latch
  one.set when ask
  out out: signal = one.out
}
"""
WHERE = system(YARD)
RUN = trace(WHERE, (1, {"a.hand": 1, "mood": 1}), (20, {}))


def test_parts_say_what_tells_most_of_them() -> None:
    assert of(WHERE, RUN, "tally") == [(0, "", "0"), (1, "", "1")]
    assert of(WHERE, RUN, "feed") == [(0, "live", "12 units in all")]
    assert [words for _, _, words in of(WHERE, RUN, "sun")][1:3] == [
        "day, {} left",
        "night, {} left",
    ]
    assert [words for _, _, words in of(WHERE, RUN, "hub")] == ["dropped", "pulled", "dropped"]


def test_what_the_design_keeps_says_its_value() -> None:
    found = {own.name: own for own in of_design(reasons(WHERE, RUN))}
    said = {name: [look.words for _, look in own.course] for name, own in found.items()}
    assert said["mood"] == ["cross", "calm"]
    assert said["seen"] == ["calm", "cross"]
    assert said["laps"] == ["0", "7"]


def test_wires_are_lit_by_what_they_carry() -> None:
    """A timer's wire is lit while it runs, a count's while it is above 0, a choice's never."""
    found = plan(survey(WHERE.design))
    seen = reasons(WHERE, RUN)
    lit = {
        wire.port.path: [(tick, look.classes) for tick, look in thing.course]
        for thing, wire in zip(wires(seen, found, "w"), in_order(found), strict=True)
    }
    assert lit["rest"] == [(0, ""), (1, "live"), (11, "")]
    assert lit["laps"] == [(0, ""), (1, "live")]
    assert lit["seen"] == [(0, "")]


def test_the_page_lists_parts_but_not_what_is_inside_them() -> None:
    page = page_of(WHERE, [])
    names = [one.name for one in page.parts]
    assert "box" in names
    assert not any(name.startswith("box.") for name in names)


def test_one_of_which_something_is_out_of_reach() -> None:
    stuck = Outcome(Verdict.FAILS, Reach.FOREVER, trace=RUN, engine="every state")
    page = page_of(WHERE, [answer(WHERE, "quiet", stuck)])
    (tale,) = page.tales
    assert tale.title == "How quiet gets out of reach"
    assert page.tally == "1 of 1 claim fails"


def test_the_head_without_a_run() -> None:
    unknown = Outcome(Verdict.UNKNOWN, reason="time was up")
    proved = Outcome(Verdict.FAILS)
    some = [answer(WHERE, "quiet", unknown), answer(WHERE, "counts", unknown)]
    assert page_of(WHERE, some).tally == "2 of 2 claims are unknown"
    assert page_of(WHERE, some[:1]).tally == "1 of 1 claim is unknown"
    assert page_of(WHERE, some[:1]).why == "quiet is unknown: time was up."
    assert page_of(WHERE, [answer(WHERE, "quiet", proved)]).why == "quiet fails: see the table."


def test_the_head_where_all_hold() -> None:
    forever = Outcome(Verdict.HOLDS, Reach.FOREVER)
    until = Outcome(Verdict.HOLDS, Reach.UP_TO, until=600)
    free = Outcome(Verdict.HOLDS, margins=(Margin(Measure.GAP, 142, None, exact=True),))
    for outcome, why in (
        (forever, "Proved for runs of any length, or shown by a run."),
        (until, "Some of them only up to a time, which the table names."),
        (free, "Proved for runs of any length, or shown by a run."),
    ):
        page = page_of(WHERE, [answer(WHERE, "quiet", outcome)])
        assert (page.tally, page.why) == ("its claim holds", why)
