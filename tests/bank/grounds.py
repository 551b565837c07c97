"""Taps that share what there is, and a whole plant of several families side by side."""

from tests.bank.garden import Claim, Garden, fails, holds
from tests.bank.people import beds, lever_lock, vestibule
from tests.bank.timers import grotto, hedge_gates, ring
from verifier.verdict.answer import Verdict


def taps(count: int, *, fault: bool = False) -> Garden:
    """A chain of taps with a load of two units each; by night, or while drained, two are missing.

    All but the last get theirs then, the last gets none. By a slip the second tap takes three: one
    unit is left for the last by day, and by night one for the one before it.
    """
    rows = "\n".join(
        f"  tap{i} : tap({3 if fault and i == 2 else 2})\n"
        f"  use{i} : load(needs: 2)\n  tap{i}.side -> use{i}"
        for i in range(1, count + 1)
    )
    rest = "\n".join(f"  tap{i}.rest -> tap{i + 1}" for i in range(1, count))
    if fault:
        claims: tuple[Claim, ...] = (
            fails("ever", f"possible use{count}", "it never gets more than one unit"),
            holds("first", "always use1", "it takes its two before all others"),
            holds("by_day", f"use{count - 1} only while sun.light", "one unit by night"),
        )
    else:
        claims = (
            holds("first", f"always use{count - 1}", "all but the last get theirs"),
            fails("last", f"always use{count}", "not while drained"),
            holds("brief", f"use{count} lasts at most 40 s", "a day, no longer"),
            fails("briefer", f"use{count} lasts at most 40 s - 1 tick", "a day without draining"),
            fails("back", f"use{count} returns within 20 s", "drained again and again"),
        )
    body = f"""
  sun   : daylight(day: 40 s, night: 20 s)
  drain : button(holds: 2 s)
  brook : supply({2 * count}, drops: {2 * count - 2})
  brook.told when sun.light and not drain
{rows}
  brook -> tap1
{rest}"""
    size = f"{count}, fault" if fault else str(count)
    fed = Verdict.FAILS if fault else Verdict.HOLDS
    return Garden("taps", size, body, claims, fed=fed)


def plant(*, fault: bool = False) -> Garden:
    """Eight gardens side by side, and claims that hang on several of them or on all.

    By a slip its vestibule is the half-mended one.
    """
    stations = (
        grotto(),
        hedge_gates(),
        lever_lock(4),
        vestibule("half-mended" if fault else "mended", held=True),
        ring(4),
        beds(4),
        taps(4),
        _bell(),
    )
    ajar = "west.ajar, east.ajar, outer.ajar, inner.ajar"
    at_work = (
        "glow.on and west.open and gate.open and outer.open and wet[1] and use3 and bell.rings"
    )
    trouble = (
        "glow.on and gloom.on or west.ajar and east.ajar or outer.ajar and inner.ajar "
        "or at least 2 of (step1.on, step2.on, step3.on, step4.on) or strikes.on and pauses.on "
        "or not use3"
    )
    three = "never at least 3 of (" + ajar + ")"
    if fault:
        half = "the vestibule lets both of its doors be ajar"
        claims: tuple[Claim, ...] = (
            fails("well", f"never {trouble}", half),
            holds("gates", "never west.ajar and east.ajar", "as in the hedge alone"),
        )
    else:
        claims = (
            holds("well", f"never {trouble}", "as in each of them alone"),
            holds("not_three", three, "two of three would be of one pair"),
            fails("not_two", f"never at least 2 of ({ajar})", "one of each pair"),
            holds("at_work", f"possible {at_work} within 7 s", "glow is on up to tick 7 s"),
            holds("one_rest", "glow.on returns within 5 s + 2 tick", "as in the grotto alone"),
        )
    body = "\n".join(one.body for one in stations)
    rules = "one press at a time"
    return Garden("plant of 8", "fault" if fault else "", body, claims, rules, coarse=100)


def _bell() -> Garden:
    """A bell that a cord rings for 2 s, and not again before it has paused for 4 s."""
    body = """
  tower   : supply(2)
  cord    : button(holds: 200 ms)
  strikes : pulse(2 s)
  pauses  : pulse(4 s)
  bell    : bell
  tower_2 : supply(1)
  tower -> strikes -> bell
  tower_2 -> pauses
  strikes.start when cord and not pauses.on and not (strikes.on ends)
  pauses.start when strikes.on ends"""
    return Garden("bell", "", body, ())
