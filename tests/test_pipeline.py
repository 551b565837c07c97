"""The whole story: files without a design, claims that are wished for, what no run counts for."""

from pathlib import Path

import pytest

from tests.report.make import system
from verifier import pipeline
from verifier.engines.child import Lost
from verifier.engines.crew import Crew
from verifier.engines.decide import Effort
from verifier.pipeline import CheckSettings, answers, check, designs, questions, rules_out_all
from verifier.simulate.onward import Way
from verifier.source.diagnostic import Collector
from verifier.verdict.answer import Reach, Verdict

LAMP = """\
design lamp {
  tick 100 ms
  hand  : button(holds: 300 ms)
  glow  : pulse(2 s)
  mains : supply(2)
  mains -> glow
  hand -> glow.start
  claim long: glow.on lasts at least 2 s
  claim short: glow.on lasts at most 1 s
}
"""
QUICK = CheckSettings(effort=Effort(1.0))


@pytest.mark.parametrize(
    ("text", "codes", "count"),
    [
        (LAMP, [], 1),
        (LAMP + LAMP.replace("lamp", "lantern"), [], 2),
        ('kind own "a kind" {\n  out out: signal = yes\n}\n', ["no-design"], 0),
        ("design d {\n  a : lam\n}\n", ["unknown-kind"], 0),
        (LAMP + "design d {\n  a : lam\n}\n", ["unknown-kind"], 1),
    ],
)
def test_designs_of_a_file(tmp_path: Path, text: str, codes: list[str], count: int) -> None:
    path = tmp_path / "garden.latch"
    path.write_text(text, encoding="utf-8")
    collector = Collector()
    assert len(designs(path, collector)) == count
    assert [one.code for one in collector.found] == codes


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    collector = Collector()
    assert designs(tmp_path / "none.latch", collector) == []
    assert collector.failed


def test_claims_are_asked_in_the_order_of_the_design() -> None:
    where = system(LAMP)
    wished = CheckSettings(claims=("short", "fed"))
    assert [one.name for one in questions(where, wished)] == ["fed", "short"]
    assert [one.name for one in questions(where, CheckSettings())] == ["fed", "long", "short"]


@pytest.mark.parametrize("forks", [True, False])
def test_answers_come_in_order_and_do_not_hang_on_how_they_are_worked_out(
    monkeypatch: pytest.MonkeyPatch, *, forks: bool
) -> None:
    if not forks:
        monkeypatch.setattr(pipeline, "FORKS", False)
    told: list[str] = []
    found = list(check(system(LAMP).design, QUICK, lambda one: told.append(one.name)))
    assert [one.question.name for one in found] == told
    assert {one.question.name: one.outcome.verdict for one in found} == {
        "fed": Verdict.HOLDS,
        "long": Verdict.HOLDS,
        "short": Verdict.FAILS,
    }
    (broken,) = [one.outcome for one in found if one.question.name == "short"]
    assert broken.trace is not None
    assert broken.trace.length == 12


def test_an_answer_that_was_lost_is_unknown_with_the_reason(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    lost = Lost(None, "it was stopped")
    monkeypatch.setattr(Crew, "results", lambda *_: iter([lost, lost, lost]))
    found = list(answers(system(LAMP), QUICK))
    assert {(one.outcome.verdict, one.outcome.reason) for one in found} == {
        (Verdict.UNKNOWN, lost.words)
    }


# --- assumptions ----------------------------------------------------------------------------------


def test_a_design_none_of_whose_runs_counts_is_told_with_its_assumption() -> None:
    text = LAMP.replace("  claim long", "  assume always hand and not hand\n  claim long")
    found = rules_out_all(system(text))
    assert found is not None
    assert (found.code, found.span.line if found.span else 0) == ("assume-none", 8)
    assert found.headline == "no run of `lamp` keeps what is assumed"
    assert rules_out_all(system(LAMP)) is None


def test_nothing_holds_where_no_run_was_found_that_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    """A claim that fails does so by a run that counts; one that holds may hold of nothing."""
    text = LAMP.replace(
        "  claim long", "  free wind: signal\n  assume never hand and wind\n  claim long"
    )
    where = system(text)
    usual = {one.question.name: one.outcome for one in answers(where, QUICK)}
    assert usual["long"].reach is Reach.FOREVER
    monkeypatch.setattr(pipeline, "way_on", lambda *_: (Way.UNKNOWN, None))
    unsure = {one.question.name: one.outcome for one in answers(where, QUICK)}
    assert unsure["short"].verdict is usual["short"].verdict is Verdict.FAILS
    assert unsure["long"].verdict is Verdict.UNKNOWN
    assert unsure["long"].reason == "no run was found that keeps the assumptions"
