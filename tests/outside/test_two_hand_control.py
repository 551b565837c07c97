"""Two-hand control against ISO 13851:2019, clauses 5.7 and 5.8 (EN 574 before it), read in a copy.

Both hands within 0.5 s of each other start the output; letting go of either stops it; a new start
needs that both were let go first.
"""

from tests.outside.desk import broken

KIND = """
kind two_hand(apart: time) {
  in  left: signal
  in  right: signal
  keep waits: timer
  keep works: flag
  keep spent: flag
  let touched = left or right
  let begins = left and right and not spent and (touched starts or waits > 0 s)
  out out: signal = left and right and (works or begins)
  works becomes out
  waits loads apart when touched starts
  spent becomes no when not touched, yes when SPENT
}

design press {
  tick 50 ms
  left  : button
  right : button
  hands : two_hand(APART)
  left -> hands.left
  right -> hands.right

  claim both: hands only while left and right
  claim left_late: hands only after left each within 500 ms
  claim right_late: hands only after right each within 500 ms
  claim afresh: while left or right: hands at most 1 times in any 1 h
  claim at_once: left starts and right starts leads to hands within 0 s
  claim can_work: always possible hands within 1 s
}
"""


def press(apart: str = "500 ms", spent: str = "works and not out") -> str:
    return KIND.replace("APART", apart).replace("SPENT", spent)


def test_keeps_all_clauses() -> None:
    assert broken(press()) == set()


def test_too_long_apart_is_found() -> None:
    """A span of one tick more breaks clause 5.7 (synchronous actuation)."""
    assert broken(press(apart="550 ms")) == {"left_late", "right_late"}


def test_a_hand_that_stays_is_found() -> None:
    """Without the memory of clause 5.8 (re-initiation) one hand may stay down for good."""
    assert broken(press(spent="no")) == {"afresh"}
