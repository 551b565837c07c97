"""Designs of many parts of the same kind, each with a button of its own: claims that hold of all.

They are what induction over single ticks is made for: each part needs a line or two of the proof,
while a search over states meets the product of all parts.
"""

from collections.abc import Callable

from tests.bank.garden import Garden, holds


def _feed(count: int, part: str) -> str:
    return f"""
  mains : supply({count})
  feed  : divider(ways: {count})
  mains -> feed
  for i in 1..{count} {{
    feed.way[i] -> {part}[i]
    let on[i] = {part}[i].on
  }}
  ask[1..{count}] : button(holds: 1 s)"""


def one_at_a_time(count: int) -> Garden:
    """Jets, each started by its button while none plays; of two presses the first row wins."""
    starts = "\n".join(
        f"  jet[{i}].start when ask[{i}] and not any of (on)"
        + "".join(f" and not ask[{j}]" for j in range(1, i))
        for i in range(1, count + 1)
    )
    return Garden(
        "jets, one at a time",
        f"of {count}",
        f"""{_feed(count, "jet")}
  jet[1..{count}] : pulse(4 s)
{starts}""",
        (holds("alone", "never at least 2 of (on)", "who starts waits for all, and yields"),),
    )


def pairs(count: int) -> Garden:
    """Lamps with a shade each, started by the same button: the shade is up for longer."""
    return Garden(
        "lamps with shades",
        f"of {count}",
        f"""{_feed(count, "lamp")}
  lamp[1..{count}]  : pulse(4 s)
  more  : supply({count})
  share : divider(ways: {count})
  more -> share
  shade[1..{count}] : pulse(6 s)
  for i in 1..{count} {{
    share.way[i] -> shade[i]
    lamp[i].start when ask[i] and not shade[i].on
    shade[i].start when ask[i] and not shade[i].on
    let bare[i] = lamp[i].on and not shade[i].on
  }}""",
        (holds("shaded", "never any of (bare)", "both start at once, 4 s are less than 6 s"),),
    )


def chain(count: int) -> Garden:
    """Pumps on a chain of taps, each on by its button; the supply is enough for two at a time."""
    taps = "\n".join(
        f"  tap{i} : tap(1)\n  tap{i}.side -> pump[{i}]"
        + (f"\n  tap{i}.rest -> tap{i + 1}" if i < count else "")
        for i in range(1, count + 1)
    )
    return Garden(
        "chain of pumps",
        f"of {count}",
        f"""
  mains : supply({count})
{taps}
  mains -> tap1
  ask[1..{count}]  : button(holds: 1 s)
  pump[1..{count}] : pulse(4 s)
  seat[1..{count}] : latch
  for i in 1..{count} {{
    pump[i].start when ask[i]
    seat[i].set when pump[i].on
    seat[i].reset when not pump[i].on and ask[i]
    let dry[i] = pump[i].on and not seat[i] and not pump[i].on starts
  }}""",
        (holds("none_dry", "never any of (dry)", "the latch is set a tick after the pump starts"),),
    )


CROWDS: tuple[Callable[[], Garden], ...] = tuple(
    make
    for count in (4, 8, 16)
    for make in (
        lambda count=count: one_at_a_time(count),
        lambda count=count: pairs(count),
        lambda count=count: chain(count),
    )
)
