"""How a broken claim ends in words: what is so at the last tick, and what it should have been."""

import pytest

from tests.report.make import answer, question, system, trace
from verifier.causes.tree import explain
from verifier.report.clock import Clock
from verifier.report.ending import ending
from verifier.report.needs import window
from verifier.report.phrases import Phrases
from verifier.report.story import Story, story
from verifier.simulate.variations import Room
from verifier.simulate.watch import watch
from verifier.verdict.answer import Outcome, Verdict

YARD = """\
design yard {{
  tick 100 ms
  a : button
  b : button
  keep n: count 0..2
  n becomes n + 1 when a
  {}
}}
"""
A, B = {"a.hand": 1}, {"b.hand": 1}
Steps = tuple[tuple[int, dict[str, int]], ...]


def told(claim: str, *steps: tuple[int, dict[str, int]], name: str = "c") -> Story:
    where = system(YARD.format(f"claim c: {claim}"))
    run = trace(where, *steps)
    found = story(where, answer(where, name, Outcome(Verdict.FAILS, trace=run, earliest=True)))
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("claim", "steps", "words"),
    [
        ("never a", ((3, {}), (1, A)), "a is live"),
        ("always not a", ((3, {}), (1, A)), "a is live"),
        ("a only after b then b", ((2, {}), (1, A)), "a is live, without what has to come before"),
        ("a only while b", ((2, {}), (1, A)), "a is live while b is not live"),
        ("a at most 0 times in any 2 s", ((1, A),), "a is live, 1 time within 2 s"),
        (
            "a at most 1 time in any 2 s",
            ((1, A), (1, {}), (1, A)),
            "a is live, 2 times within 2 s",
        ),
        ("a no sooner than 1 s", ((3, {}), (1, A)), "a is live, sooner than 1 s"),
        ("a returns within 1 s", ((12, {}),), "a is not live, for 1.2 s now: longer than 1 s"),
        ("eventually a within 1 s", ((12, {}),), "a is not live by 1 s"),
        ("a leads to b within 0 s", ((1, A),), "b is not live"),
        (
            "a leads to b within 1 s",
            ((1, A), (11, {})),
            "a is not live at 0.1 s; 1 s later still b is not live",
        ),
        ("a lasts at most 1 s", ((11, A),), "a is live, for 1.1 s now: longer than 1 s"),
        ("a lasts at least 1 s", ((5, A), (1, {})), "a is not live after 0.5 s, not the 1 s"),
        ("after b: never a", ((1, B), (1, A)), "a is live"),
        ("from anywhere: never a", ((1, A),), "a is live"),
    ],
)
def test_the_last_line(claim: str, steps: Steps, words: str) -> None:
    last = told(claim, *steps).events[-1]
    assert last.words.startswith(words)
    assert last.tick == sum(ticks for ticks, _ in steps) - 1


def test_a_count_that_would_leave_its_range() -> None:
    found = told("never b", (1, A), (1, A), (1, A), (1, {}), name="counts")
    assert [one.words for one in found.events] == [
        "someone presses a",
        "n is at 1",
        "n is at 2",
        "a is let go",
        "a count would leave its range",
    ]


def test_of_a_tight_run_a_roomier_one_is_told() -> None:
    found = told("while b: never a", (1, A | B))
    assert found.needs == (
        "Both presses are needed.",
        "Fails whenever b comes 0 s to 0.3 s after a.",
    )
    assert found.trace.length == 4
    assert found.other == (
        "A run that is exact to the tick fails at 0.0 s already. "
        "Told here is one that need not be so exact, and fails at 0.3 s."
    )


@pytest.mark.parametrize("earliest", [True, False])
def test_of_a_longer_run_it_is_not_said_that_it_is_the_shortest(*, earliest: bool) -> None:
    where = system(YARD.format("keep k: flag\n  k becomes a\n  claim c: never k and b"))
    run = trace(where, (1, A), (1, B))
    outcome = Outcome(Verdict.FAILS, trace=run, earliest=earliest)
    found = story(where, answer(where, "c", outcome))
    assert found is not None
    assert found.trace.length == 4
    assert not any("hortest" in one for one in found.needs)
    assert ("fails at 0.1 s already, and none fails sooner." in found.other) is earliest
    assert ("fails at 0.1 s already. Told here" in found.other) is not earliest


# --- in a scope -----------------------------------------------------------------------------------

SCOPES = ("while w: ", "after w: ", "from w until e: ")
SCOPED = """\
design scoped {{
  tick 100 ms
  a : button
  w : button
  e : button
  claim c: {}
}}
"""
W, E = {"w.hand": 1}, {"e.hand": 1}


def last_words(claim: str, *steps: tuple[int, dict[str, int]]) -> str:
    """Return how a run ends in words, told as it is."""
    where = system(SCOPED.format(claim))
    run, asked = trace(where, *steps), question(where, "c")
    readings = watch(where, run, asked.bad).readings
    assert readings.broken is not None
    assert next(at for at, broken in readings.broken if broken) == run.length - 1
    phrases = Phrases(where.design, Clock(where.design.tick_ns))
    return ending(explain(where, asked, run, readings), asked, phrases)


@pytest.mark.parametrize("scope", SCOPES)
@pytest.mark.parametrize(
    ("claim", "before", "within", "words"),
    [
        ("a lasts at most 500 ms", A, ((6, A),), "a is live, for 0.6 s now counted from 0.4 s"),
        (
            "a lasts at least 500 ms",
            A,
            ((2, A), (1, {})),
            "a is not live after 0.2 s counted from 0.4 s, not the 0.5 s asked for",
        ),
        (
            "a returns within 500 ms",
            {},
            ((6, {}),),
            "a is not live, for 0.6 s now counted from 0.4",
        ),
        (
            "eventually a within 500 ms",
            A,
            ((6, {}),),
            "a is not live by 0.9 s, 0.5 s counted from 0.4 s",
        ),
        (
            "a leads to not a within 500 ms",
            A,
            ((6, A),),
            "a is live at 0.4 s; 0.5 s later still a is live",
        ),
        ("a at most 1 time in any 500 ms", A, ((1, A), (1, {}), (1, A)), "a is live, 2 times"),
    ],
)
def test_times_count_from_where_the_scope_opened(
    scope: str, claim: str, before: dict[str, int], within: Steps, words: str
) -> None:
    inside = tuple((ticks, acts | W) for ticks, acts in within)
    assert last_words(scope + claim, (4, before), *inside).startswith(words)


@pytest.mark.parametrize("scope", [*SCOPES[1:], "while not e: after w: "])
def test_a_scope_that_is_open_is_not_opened_anew(scope: str) -> None:
    words = last_words(f"{scope}a returns within 1 s", (4, {}), (1, W), (4, {}), (1, W), (5, {}))
    assert words == "a is not live, for 1.1 s now counted from 0.4 s: longer than 1 s"


def test_a_scope_that_opened_again_counts_anew() -> None:
    claim = "from w until e: a returns within 500 ms"
    words = last_words(claim, (2, {}), (1, W), (2, {}), (1, E), (1, {}), (1, W), (5, {}))
    assert words == "a is not live, for 0.6 s now counted from 0.7 s: longer than 0.5 s"


def test_a_stretch_that_began_within_the_scope_is_told_as_ever() -> None:
    words = last_words("while w: a lasts at most 500 ms", (2, W), (6, A | W))
    assert words == "a is live, for 0.6 s now: longer than 0.5 s"


# --- what the run needs ---------------------------------------------------------------------------


def test_nobody_need_do_anything() -> None:
    assert told("eventually a within 1 s", (12, {})).needs[0] == (
        "Of itself: nobody need do anything."
    )


@pytest.mark.parametrize(
    ("claim", "steps", "needs"),
    [
        (
            "a no sooner than 1 s",
            ((3, {}), (1, A)),
            ["The one press is needed.", "Fails whenever a comes 0.0 s to 0.9 s after the start."],
        ),
        (
            "a at most 1 time in any 2 s",
            ((1, A), (1, {}), (1, A)),
            [
                "Both presses are needed.",
                "Fails whenever the second press of a comes 0.2 s to 1.9 s after the first.",
            ],
        ),
        (
            "a at most 2 times in any 2 s",
            ((1, A), (1, {}), (1, A), (1, {}), (1, A)),
            [
                "Each of the 3 presses is needed.",
                "Fails whenever the third press of a comes 0.2 s to 1.7 s after the second.",
                "Fails whenever the second press of a comes 0.2 s to 1.7 s after the first, what",
            ],
        ),
        (
            "never a and b",
            ((1, A), (3, {}), (1, A | B)),
            ["Without the first press of a it fails all the same, but only at"],
        ),
    ],
)
def test_needs(claim: str, steps: Steps, needs: list[str]) -> None:
    found = told(claim, *steps).needs
    assert len(set(found)) == len(found)
    for words in needs:
        assert any(one.startswith(words) for one in found), found


@pytest.mark.parametrize(
    ("room", "gap", "words"),
    [
        (Room(2, 3), 4, "0.2 s to 0.7 s after b"),
        (Room(4, 3), 2, "from 0.2 s before to 0.5 s after b"),
        (Room(1, 50, open_later=True), 2, "0.1 s or more after b"),
        (Room(3, 50, open_later=True), 2, "at most 0.1 s before b, or later"),
        (Room(50, 3, open_sooner=True), 2, "at most 0.5 s after b, or sooner"),
        (Room(50, 1, open_sooner=True), -4, "0.3 s or more before b"),
    ],
)
def test_how_far_was_tried_is_no_end_of_a_window(room: Room, gap: int, words: str) -> None:
    assert window(room, gap, Clock(100_000_000), "b") == words


def test_a_window_without_an_end_has_none_in_words() -> None:
    text = YARD.format("keep k: flag\n  k becomes yes when a\n  claim c: never k and b")
    where = system(text)
    run = trace(where, (1, A), (4, {}), (1, B))
    found = story(where, answer(where, "c", Outcome(Verdict.FAILS, trace=run)))
    assert found is not None
    assert "Fails whenever b comes 0.1 s or more after a." in found.needs
