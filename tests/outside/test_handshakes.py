"""Circuits without a clock: C-elements and handshakes.

D. E. Muller, W. S. Bartky, "A Theory of Asynchronous Circuits", 1959: a C-element follows its
inputs where they agree and stays where they differ. I. E. Sutherland, "Micropipelines", CACM 32(6),
1989: a row of C-elements passes events on like a queue, each as soon as the next has taken the
last, and none is lost however long each takes. Four-phase handshake: C. L. Seitz, in Mead and
Conway, ch. 7, 1980. All from memory.
"""

import pytest

from tests.outside.desk import broken

ELEMENT = """
design element {
  free a: signal
  free b: signal
  part : latch(wins: reset)
  part.set when a and b
  part.reset when RESET
  keep c: flag
  c becomes a and b or c and (a or b)
  claim same: always part = c
  claim on: possible part
  claim stays: never part ends and was_one
  keep was_one: flag
  was_one becomes a != b
}
"""


def test_c_element_is_a_latch_that_both_set_and_both_reset() -> None:
    assert broken(ELEMENT.replace("RESET", "not a and not b")) == set()
    assert broken(ELEMENT.replace("RESET", "not a")) == {"same", "stays"}


# A row of stages; an event is a change. Each stage may take its time: it acts when it is let.
PIPELINE = """
kind stage {
  in  behind: signal
  in  ahead: signal
  free lets: signal
  keep c: flag
  c becomes behind when lets and (RULE)
  out out: signal = c
}

design pipeline {
  free sends: signal
  free receives: signal
  keep sent: flag
  keep got: flag
  stage[1..STAGES] : stage
  stage[1].behind when sent
  for i in 2..STAGES { stage[i].behind when stage[i - 1] }
  for i in 2..STAGES { stage[i - 1].ahead when stage[i] }
  stage[STAGES].ahead when got
  let may_send = sent = stage[1]
  let may_take = got != stage[STAGES]
  sent becomes not sent when sends and may_send
  got becomes not got when receives and may_take

  # Events on their way, counted beside: no more than there are stages and one, and none gets lost.
  keep under_way: count 0 .. 9
  let more = sends and may_send
  let less = receives and may_take
  under_way becomes
    under_way + 1 when more and not less,
    under_way - 1 when less and not more
  claim none_from_nothing: never less and under_way = 0
  claim fills: possible under_way = STAGES + 1
  claim no_more: always under_way <= STAGES + 1
  claim empties: always possible under_way = 0 and not may_take
}
"""


@pytest.mark.parametrize("stages", [1, 2])
def test_a_row_of_c_elements_is_a_queue(stages: int) -> None:
    text = PIPELINE.replace("STAGES", str(stages))
    assert broken(text.replace("RULE", "behind != ahead")) == set()


def test_stages_that_do_not_wait_lose_events() -> None:
    text = PIPELINE.replace("STAGES", "2").replace("RULE", "yes")
    # Lost ones stay on the books, so that their count runs over as well.
    assert broken(text, all_fed=False) == {"no_more", "empties"}


# Request up, answer up, request down, answer down; each side as slow as it likes.
FOUR_PHASE = """
design handshake {
  free ask: signal
  free serve: signal
  keep request: flag
  keep answer: flag
  request becomes yes when ask and not request and not answer, no when ask and request and (WAITS)
  answer becomes yes when serve and request and not answer, no when serve and not request
  claim answered: request ends only after answer
  claim up_after_request: answer only after request
  claim kept: from request starts until answer: always request
  claim down_after: answer ends only after request ends
  claim never_stuck: always possible request starts
  claim order: from answer until not answer: request at most 1 time in any 1 h
}
"""


def test_four_phases() -> None:
    assert broken(FOUR_PHASE.replace("WAITS", "answer")) == set()


def test_a_request_that_does_not_wait_is_found() -> None:
    assert broken(FOUR_PHASE.replace("WAITS", "yes")) == {"answered", "kept"}
