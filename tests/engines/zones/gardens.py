"""Designs of any size, each with claims that hold and with claims that a planted fault breaks.

A claim whose name starts with `fails` does not hold; the others do. Which is which follows from the
spans by hand, a tick for each part that answers at the next tick; the words beside say how.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from verifier.design.files import of_source
from verifier.design.resolve import designs_in, resolve
from verifier.engines.contract import Asked, Task
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.lower import lower
from verifier.system.model import Form, Question, System


@dataclass(frozen=True, slots=True)
class Garden:
    """A design as text, for a tick in milliseconds that divides a second."""

    name: str
    body: str

    def system(self, tick_ms: int) -> System:
        """Return the lowered design."""
        text = f"design garden {{\n  tick {tick_ms} ms\n{self.body}\n}}\n"
        collector = Collector()
        unit = of_source(Source(self.name, text), Path(self.name), collector)
        assert unit is not None, collector.found
        design = resolve(designs_in(unit)[0], unit, collector)
        assert design is not None, collector.found
        return lower(design)


def tasks(system: System) -> dict[str, Task]:
    """Return the task for each claim about something that is never met, by name."""
    found = {}
    for question in system.questions:
        asked, target = _target(question)
        if target is not None:
            roots = [target, system.domain] if question.anywhere else [target]
            part = cone(system, roots)
            found[question.name] = Task(part, question, asked, target, question.limit, seed=1)
    return found


def _target(question: Question) -> tuple[Asked, Node | None]:
    match question.form:
        case Form.AVOID | Form.AGAIN:
            return Asked.BAD, question.bad
        case Form.REACH:
            return Asked.GOAL, question.goal
        case _:
            return Asked.OPEN, None


def two_timers() -> Garden:
    """Two pulses that start each other: 7 s on, 5 s and two ticks off, for ever."""
    return Garden(
        "two timers",
        """
  mains : supply(4)
  feed  : divider(ways: 2)
  lit   : pulse(7 s)
  dark  : pulse(5 s)
  mains -> feed
  feed.way[1] -> lit
  feed.way[2] -> dark
  keep begun: flag
  begun becomes yes
  lit.start when not begun or dark.on ends
  dark.start when lit.on ends
  claim never_both: never lit.on and dark.on
  claim length: lit.on lasts 7 s
  claim back: lit.on returns within 5 s + 2 tick
  claim fails_back: lit.on returns within 5 s
  claim fails_length: lit.on lasts at most 7 s - 1 tick
""",
    )


def swapping_doors(pause: str) -> Garden:
    """Two doors told by turns by a ring of four timers; both ajar if the pause is too short.

    A door that is let go shuts for 4 s; the other is told after the pause and a few ticks.
    """
    claim = "apart" if pause == "4 s" else "fails_apart"
    return Garden(
        f"doors that swap after {pause}",
        f"""
  mains : supply(12)
  feed  : divider(ways: 4)
  a_on  : pulse(20 s)
  a_off : pulse({pause})
  b_on  : pulse(20 s)
  b_off : pulse({pause})
  a     : door(opens: 4 s, shuts: 4 s)
  b     : door(opens: 4 s, shuts: 4 s)
  mains -> feed
  feed.way[1] -> a_on -> a
  feed.way[2] -> a_off
  feed.way[3] -> b_on -> b
  feed.way[4] -> b_off
  keep begun: flag
  begun becomes yes
  a_on.start when not begun or b_off.on ends
  a_off.start when a_on.on ends
  b_on.start when a_off.on ends
  b_off.start when b_on.on ends
  claim {claim}: never a.ajar and b.ajar
  claim stands: a.open lasts 16 s
  claim fails_stands: a.open lasts at least 16 s + 1 tick
""",
    )


def lever_lock(levers: int) -> Garden:
    """A gate that opens (2 s) while all levers are right, held on for 10 s after that."""
    few = levers <= 4  # a false claim costs all the effort there is: once is enough
    fails = "claim fails_stays: gate.open lasts at least 8 s + 3 tick" if few else ""
    return Garden(
        f"lock of {levers} levers",
        f"""
  one press at a time
  row[1..{levers}] : lever(holds: 2 s, starts: yes)
  for i in 1..{levers} {{ let right[i] = row[i] = (i mod 2 = 1) }}
  mains : supply(2)
  hold  : off_delay(10 s)
  gate  : door(opens: 2 s, shuts: 2 s)
  mains -> hold -> gate
  hold.start when all of (right)
  claim not_sooner: gate.open no sooner than 2 s
  claim stays: gate.open lasts at least 8 s
  claim solved: gate.ajar only after all of (right)
  {fails}
""",
    )


def vestibule(*, bars: bool) -> Garden:
    """Two doors behind pulses that buttons start; without bars both may be pressed at once."""
    claim = "apart" if bars else "fails_apart"
    bar_out = "and not open_in.on" if bars else ""
    bar_in = "and not open_out.on and not ask_out" if bars else ""
    return Garden(
        "vestibule" + (" with bars" if bars else ""),
        f"""
  mains    : supply(8)
  feed     : divider(ways: 2)
  ask_out  : button(holds: 3 s)
  ask_in   : button(holds: 3 s)
  open_out : pulse(6 s)
  open_in  : pulse(6 s)
  outer    : door(opens: 2 s, shuts: 3 s)
  inner    : door(opens: 2 s, shuts: 3 s)
  mains -> feed
  feed.way[1] -> open_out -> outer
  feed.way[2] -> open_in -> inner
  open_out.start when ask_out and not inner.ajar {bar_out}
  open_in.start when ask_in and not outer.ajar {bar_in}
  claim {claim}: never outer.ajar and inner.ajar
  claim rests: open_out.on lasts at most 6 s
  claim fails_rests: open_out.on lasts at most 6 s - 1 tick
""",
    )


def ring(count: int) -> Garden:
    """A token runs through `count` pulses of rising spans; one runs at a time."""
    parts = "\n".join(
        f"  step{i} : pulse({i} s)\n  feed.way[{i}] -> step{i}" for i in range(1, count + 1)
    )
    starts = "\n".join(f"  step{i}.start when step{i - 1}.on ends" for i in range(2, count + 1))
    every = ", ".join(f"step{i}.on" for i in range(1, count + 1))
    away = f"{count * (count + 1) // 2 - 1} s"
    return Garden(
        f"ring of {count}",
        f"""
  mains : supply({count})
  feed  : divider(ways: {count})
  mains -> feed
{parts}
  keep begun: flag
  begun becomes yes
  step1.start when not begun or step{count}.on ends
{starts}
  claim one_runs: never at least 2 of ({every})
  claim back: step1.on returns within {away} + {count} tick
  claim fails_back: step1.on returns within {away} - 1 tick
""",
    )


def buttons(count: int) -> Garden:
    """Buttons that know nothing of each other, each with a pulse; the last is asked about."""
    all_on = " and ".join(f"bloom[{i}].on" for i in range(1, count + 1))
    return Garden(
        f"{count} buttons",
        f"""
  mains : supply({count})
  feed  : divider(ways: {count})
  mains -> feed
  for i in 1..{count} {{
    feed.way[i] -> bloom[i]
    bloom[i].start when ask[i]
  }}
  ask[1..{count}]   : button(holds: 1 s)
  bloom[1..{count}] : pulse(4 s)
  claim length: bloom[{count}].on lasts 4 s
  claim fails_length: bloom[{count}].on lasts at most 3 s
  claim fails_all: never {all_on}
""",
    )


def taps(count: int) -> Garden:
    """Loads on a chain of taps, the supply falling by night: the last one starves for a time."""
    rows = "\n".join(
        f"  tap{i} : tap(2)\n  use{i} : load(needs: 2)\n  tap{i}.side -> use{i}"
        for i in range(1, count + 1)
    )
    rest = "\n".join(f"  tap{i}.rest -> tap{i + 1}" for i in range(1, count))
    return Garden(
        f"{count} taps",
        f"""
  sun   : daylight(day: 40 s, night: 20 s)
  mains : supply({2 * count}, drops: {2 * count - 2})
  mains.told when sun.light
{rows}
  mains -> tap1
{rest}
  claim first: always use1
  claim by_day: use{count} returns within 20 s
  claim span: use{count} lasts at least 40 s
  claim fails_last: always use{count}
""",
    )


GARDENS: tuple[Callable[[], Garden], ...] = (
    two_timers,
    lambda: swapping_doors("4 s"),
    lambda: swapping_doors("1 s"),
    lambda: lever_lock(4),
    lambda: lever_lock(8),
    lambda: lever_lock(16),
    lambda: vestibule(bars=True),
    lambda: vestibule(bars=False),
    lambda: ring(3),
    lambda: ring(8),
    lambda: buttons(2),
    lambda: buttons(8),
    lambda: taps(2),
    lambda: taps(8),
)
