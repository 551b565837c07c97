"""Off-delay relays: IEC 61812-1, International Electrotechnical Vocabulary (read in copies).

The output follows the control at once; the delay starts when control is removed. What operating
it again during the delay does "shall be declared": both declared ways are offered, and are told
apart here.
"""

from tests.outside.desk import verdicts

DESIGN = """
design relay {
  free control: signal
  mains : supply(2)
  late  : off_delay(1 s, again: AGAIN)
  mains -> late
  control -> late.start
  keep gone: timer
  gone loads 1 s when control ends
  claim at_once: control only while late.on
  claim delay_kept: control ends leads to not late.on or control within 1 s
  claim off_in_time: not control and gone = 0 s only while not late.on or control ends
  claim full_delay: late.on lasts at least 1 s + 1 tick
  claim ends_as_begun: gone > 1 tick only while late.on
}
"""


def test_delay_begins_anew() -> None:
    found = verdicts(DESIGN.replace("AGAIN", "yes"))
    assert all(one.holds for one in found.values()), found


def test_first_delay_runs_on() -> None:
    """Operated and let go again in the delay, the output falls when the first delay ends."""
    found = verdicts(DESIGN.replace("AGAIN", "no"))
    assert {name for name, one in found.items() if one.fails} == {"ends_as_begun"}
    assert all(one.holds for name, one in found.items() if name != "ends_as_begun")
