"""Endless runs: how they are made short, who waits for what in them, and that each cause counts."""

from tests.report.make import answer, question, system
from verifier.causes.endless import Endlessly, Waiting, explain_endless
from verifier.causes.facts import Kind
from verifier.causes.levers import Pulled, bench, levered
from verifier.engines.decide import Decider, Effort
from verifier.report.story import story
from verifier.simulate.endless import Endless, shorter
from verifier.system.cone import cone
from verifier.system.model import System
from verifier.verdict.answer import Outcome
from verifier.verdict.replay import replay_lasso
from verifier.verdict.trace import Lasso

BELL = system("""\
design bell {
  tick 250 ms
  hush  : button(holds: 250 ms)
  wake  : button
  mains : supply(4)
  feed  : divider(ways: 2)
  ring  : pulse(1 s)
  rest  : pulse(2 s)
  bell  : bell
  mains -> feed
  feed.way[1] -> ring -> bell
  feed.way[2] -> rest
  keep begun: flag
  begun becomes yes
  ring.start when not begun or wake or rest.on ends and not hush
  rest.start when ring.on ends
  claim rings: bell returns
  claim wakes: wake leads to bell
}
""")


def lulled(claim: str = "rings") -> tuple[Outcome, Lasso]:
    asked = question(BELL, claim)
    found = shorter(BELL, asked, Decider(BELL, Effort(seconds=2)).decide(asked))
    assert found.lasso is not None
    return found, found.lasso


def waiting(where: System, lasso: Lasso) -> Waiting:
    found = explain_endless(where, question(where, "rings"), lasso)
    assert found is not None
    return found


def test_the_run_is_made_of_one_press_and_the_judge_takes_it() -> None:
    _, lasso = lulled()
    asked = question(BELL, "rings")
    near = Endless.of(BELL, asked, lasso)
    assert len(near.plan(lasso).presses) == 1
    ruling, seen = replay_lasso(cone(BELL, [asked.waiting]), lasso, asked.waiting)
    assert ruling.sound
    assert seen is not None
    assert seen.always_in_loop


def test_who_waits_for_whom_is_told_all_round() -> None:
    found = waiting(BELL, lulled()[1])
    assert found.still
    assert [(one.path, one.kind) for one in found.roots] == [("ring.left", Kind.OVER)]
    kept = {one.fact.path: {by.path for by in one.by} for one in found.stays}
    assert kept["ring.left"] == {"begun", "rest.left", "wake.hand"}
    assert kept["rest.left"] == {"ring.left"}


def test_what_keeps_it_so_would_end_the_waiting_if_it_were_otherwise() -> None:
    _, lasso = lulled()
    made = levered(BELL.design)
    asked = next(one for one in made.system.questions if one.name == "rings")
    run = Endlessly.of(bench(made, lasso.trace, asked.waiting), lasso, asked.waiting)
    assert not run.changed([])
    assert run.changed([], ("rest.left", 8))
    assert run.changed([Pulled("wake.hand", 1, lasso.back_to, 1 << 60)])
    assert not run.changed([Pulled("hush.hand", 1, lasso.back_to, 1 << 60)])


def test_the_story_says_for_ever_and_why() -> None:
    outcome, _ = lulled()
    told = story(BELL, answer(BELL, "rings", outcome))
    assert told is not None
    assert told.events[-1].words == "and so on for ever: bell does not ring"
    assert "Nothing starts rest again: ring has run out." in told.needs
    assert any(one.startswith("Without ") for one in told.needs)
    assert told.needs[-1] == "Nothing changes any more."
