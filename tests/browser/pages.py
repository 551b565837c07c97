"""The pages that are looked at."""

from tests.browser import large as lanterns
from tests.report.make import VESTIBULE, answer, system, trace
from verifier.report.page.build import page_of
from verifier.report.page.model import Page
from verifier.verdict.answer import Outcome, Reach, Verdict

WHERE = system(VESTIBULE)
APART = trace(WHERE, (1, {"ask_out.hand": 1, "ask_in.hand": 1}), (2, {}))
WAYS = trace(WHERE, (1, {"ask_in.hand": 1}), (22, {}))

HOSTILE = r"""# <!-- <script>document.title = 'taken'</script> -->
design traps "</title><script>alert(1)</script>" {
  bolt : lever
  keep stood: one of (low, high)
  stood becomes high when bolt
  claim open "</script><img src=x onerror=alert(2)> &amp; \\u0026 <!-- ]]> 'x' ${1}": never bolt
  claim rests "<svg onload=alert(3)>": possible stood is high
  # </code></li></script><script>alert(4)</script>
}
"""


SPAN = 372_304
"""Ticks of a timer that takes its time: 1 h 2 min 3.04 s by hundredths of a second."""

SLOW = f"""design slow_bell {{
  tick 10 ms
  mains : supply(1)
  hand : button
  slow : pulse({SPAN * 10} ms)
  mains -> slow
  hand -> slow.start
  claim long: slow lasts at least 2 h
}}
"""


def slow() -> Page:
    """Return a page with a run of more than an hour in small ticks."""
    where = system(SLOW)
    run = trace(where, (1, {"hand.hand": 1}), (SPAN + 1, {}))
    return page_of(where, [answer(where, "long", Outcome(Verdict.FAILS, trace=run))])


def vestibule() -> Page:
    """Return a page with a claim that fails, a way, and claims that hold or are unknown."""
    fails = Outcome(Verdict.FAILS, trace=APART, engine="walk", earliest=True)
    way = Outcome(Verdict.HOLDS, Reach.FOREVER, trace=WAYS, engine="walk", earliest=True)
    return page_of(
        WHERE,
        [
            answer(WHERE, "apart", fails),
            answer(WHERE, "rests", Outcome(Verdict.HOLDS, Reach.FOREVER, engine="zones")),
            answer(WHERE, "ways", way),
            answer(WHERE, "calm", Outcome(Verdict.UNKNOWN, reason="out of time")),
            answer(WHERE, "fed", Outcome(Verdict.HOLDS, Reach.UP_TO, 600, engine="jumps")),
        ],
    )


def hostile() -> Page:
    """Return a page whose names and texts would do harm if they were taken for HTML."""
    where = system(HOSTILE)
    run = trace(where, (1, {"bolt.hand": 1}))
    return page_of(where, [answer(where, "open", Outcome(Verdict.FAILS, trace=run))])


def large() -> Page:
    """Return a page with more events than one panel of the time diagram takes."""
    return lanterns.page(lights=3, seconds=20)
