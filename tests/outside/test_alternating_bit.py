"""Messages over lines that lose them: K. A. Bartlett, R. A. Scantlebury, P. T. Wilkinson, 1969.

"A Note on Reliable Full-Duplex Transmission over Half-Duplex Links", CACM 12(5), from memory: a bit
that alternates with each message, and is sent back with the receipt, is enough for every message to
be taken once, in order, whatever gets lost on the way. Without the bit one is taken twice, and a
bit that does not come back lets one be lost.
"""

import pytest

from tests.outside.desk import broken

# Messages are numbered by three colours in turn; a lantern shows each until a receipt comes.
DESIGN = """
design signals {
  free lost: one of (neither, there, back, both)
  free next_colour: signal
  let there_ok = lost is neither or lost is back
  let back_ok = lost is neither or lost is there

  # Sender: colour 0, 1, 2 in turn, with its bit; it goes on when the right receipt comes.
  keep colour: count 0 .. 2
  keep bit: flag
  keep sent: flag  # what is on the line, if anything: the colour and the bit at the last tick
  keep line_colour: count 0 .. 2
  keep line_bit: flag
  keep receipt: flag
  keep receipt_bit: flag

  sent becomes there_ok
  line_colour becomes colour
  line_bit becomes bit
  let got = receipt and (RECEIPT)
  colour becomes 0 when got and colour = 2, colour + 1 when got
  bit becomes not bit when got

  # Receiver: a message with the bit it waits for is new; each is answered with its bit.
  keep awaited: flag
  let is_new = sent and (NEW)
  awaited becomes not awaited when is_new
  receipt becomes sent and back_ok
  receipt_bit becomes line_bit

  # What was taken, in the order in which it should be.
  keep due: count 0 .. 2
  due becomes 0 when is_new and due = 2, due + 1 when is_new
  claim once_in_order: never is_new and line_colour != due
  claim goes_on: always possible is_new
  claim third: possible is_new and due = 2
}
"""


@pytest.mark.parametrize(
    ("new", "receipt", "wrong"),
    [
        ("line_bit = awaited", "receipt_bit = bit", set()),
        ("yes", "receipt_bit = bit", {"once_in_order"}),
        ("line_bit = awaited", "yes", {"once_in_order"}),
    ],
    ids=["both bits", "no bit there", "no bit back"],
)
def test_each_message_is_taken_once(new: str, receipt: str, wrong: set[str]) -> None:
    assert broken(DESIGN.replace("NEW", new).replace("RECEIPT", receipt)) == wrong
