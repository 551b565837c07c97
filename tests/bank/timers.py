"""Timers that start each other: nobody acts, or somebody only starts or prolongs what runs.

A pulse of n ticks that is started at tick t is on from t + 1 to t + n; that it has ended is seen at
t + n + 1, and what is started then is on from t + n + 2. So one tick lies between two pulses.
"""

from tests.bank.garden import Claim, Garden, fails, holds


def grotto(*, fault: bool = False) -> Garden:
    """A glow of 7 s and a gloom of 5 s start each other; by a slip, they start together."""
    gloom = "glow.on starts" if fault else "glow.on ends"
    if fault:
        claims: tuple[Claim, ...] = (
            fails("by_turns", "never glow.on and gloom.on", "gloom begins a tick after glow"),
            fails("back", "glow.on returns within 5 s + 2 tick", "gloom ends while glow is on"),
            holds("length", "glow.on lasts 7 s", "nothing cuts it short"),
        )
    else:
        claims = (
            holds("by_turns", "never glow.on and gloom.on", "each waits for the other's end"),
            holds("length", "glow.on lasts 7 s", "no start falls into it"),
            holds("back", "glow.on returns within 5 s + 2 tick", "a tick on each side of gloom"),
            fails("back_sooner", "glow.on returns within 5 s + 1 tick", "by one tick"),
            fails("shorter", "glow.on lasts at most 7 s - 1 tick", "by one tick"),
        )
    body = f"""
  cave      : supply(4)
  cave_feed : divider(ways: 2)
  glow      : pulse(7 s)
  gloom     : pulse(5 s)
  cave -> cave_feed
  cave_feed.way[1] -> glow
  cave_feed.way[2] -> gloom
  keep glowed: flag
  glowed becomes yes
  glow.start when not glowed or gloom.on ends
  gloom.start when {gloom}"""
    return Garden("two timers in a loop", "fault" if fault else "", body, claims)


_GATES = """
  hedge      : supply(12)
  hedge_feed : divider(ways: 4)
  west_turn  : pulse(20 s, again: yes)
  west_rest  : pulse({pause})
  east_turn  : pulse(20 s)
  east_rest  : pulse({pause})
  west       : door(opens: 4 s, shuts: 4 s)
  east       : door(opens: 4 s, shuts: 4 s)
  hedge -> hedge_feed
  hedge_feed.way[1] -> west_turn -> west
  hedge_feed.way[2] -> west_rest
  hedge_feed.way[3] -> east_turn -> east
  hedge_feed.way[4] -> east_rest
  keep turning: flag
  turning becomes yes
  west_rest.start when west_turn.on ends
  east_turn.start when west_rest.on ends
  east_rest.start when east_turn.on ends"""


def hedge_gates(*, held: str = "", fault: bool = False) -> Garden:
    """Two gates that take turns; with `held` a button of such a hold prolongs the turn of one.

    A turn of n ticks that begins at tick 1 has its gate ajar from 2 to n + 1, and on its way shut
    for 4 s more. After a pause of p ticks the other is ajar from n + p + 4. So a pause of 4 s less
    two ticks is enough, and one of 4 s less three is not.
    """
    pause = f"4 s - {3 if fault else 2} tick"
    stays = "the leaf takes 4 s of the 20 s"
    claims: tuple[Claim, ...] = (
        holds("stands", "west.open lasts at least 16 s", stays),
        holds("stands_east", "east.open lasts 16 s", stays + ", and nobody prolongs it"),
    )
    if fault:
        claims = (fails("apart", "never west.ajar and east.ajar", "for one tick"), *claims)
    else:
        claims = (holds("apart", "never west.ajar and east.ajar", "not for one tick"), *claims)
    start = "not turning or east_rest.on ends"
    if held:
        start += " or call and west_turn.on"
        claims += (
            fails("even", "west.open lasts at most 16 s", "the call prolongs it"),
            fails("again", "east.open returns within 32 s", "whoever calls again keeps it shut"),
        )
    else:
        claims += (
            holds(
                "again", "east.open returns within 32 s", "rounds of 48 s, open for 16 s of each"
            ),
        )
    body = _GATES.format(pause=pause) + f"\n  west_turn.start when {start}"
    if held:
        body += f"\n  call : button(holds: {held})"
    size = ", ".join(filter(None, [f"held {held}" if held else "", "fault" if fault else ""]))
    return Garden("doors that swap", size, body, claims)


def ring(count: int, *, pulled: bool = False, fault: bool = False) -> Garden:
    """Pulses of 1, 2, 3 ... seconds start each other in a ring; one runs at a time.

    The ring begins by itself or, `pulled`, when somebody first pulls a rope. By a slip the last one
    starts with the one before it.
    """
    parts = "\n".join(
        f"  step{i} : pulse({i} s)\n  ring_feed.way[{i}] -> step{i}" for i in range(1, count + 1)
    )
    links = [f"  step{i}.start when step{i - 1}.on ends" for i in range(2, count + 1)]
    if fault:
        links[-1] = f"  step{count}.start when step{count - 1}.on starts"
    begin = "rope and not begun" if pulled else "not begun"
    others = f"{count * (count + 1) // 2 - 1} s"
    every = ", ".join(f"step{i}.on" for i in range(1, count + 1))
    scope = "after step1.on: " if pulled else ""
    one_runs = f"never at least 2 of ({every})"
    if fault:
        claims: tuple[Claim, ...] = (
            fails("one_runs", one_runs, "the last two run side by side"),
            holds("last", f"step{count}.on lasts {count} s", "no start falls into it"),
        )
    else:
        gap = f"{scope}step1.on returns within {others}"
        claims = (
            holds("one_runs", one_runs, "each waits for the end of the one before"),
            holds("back", f"{gap} + {count} tick", "the others' spans, and a tick before each"),
            fails("back_sooner", f"{gap} + {count - 1} tick", "by one tick"),
        )
    body = f"""
  ring      : supply({count})
  ring_feed : divider(ways: {count})
  ring -> ring_feed
{parts}
  keep begun: flag
  begun becomes yes{" when rope" if pulled else ""}
  step1.start when {begin} or step{count}.on ends
{chr(10).join(links)}"""
    if pulled:
        body += "\n  rope : button"
    size = ", ".join([str(count), *(["pulled"] if pulled else []), *(["fault"] if fault else [])])
    return Garden("ring of timers", size, body, claims)


def lanterns(count: int, *, fault: bool = False) -> Garden:
    """The gates that take turns, told only while lanterns shine that know nothing of each other.

    All lanterns belong to what the gates hang on, and their pattern comes back only after the
    least common multiple of their rounds; that the gates are apart hangs on none of them.
    """
    gates = hedge_gates(fault=fault)
    rows = "\n".join(
        f"  lantern{i} : flasher(lit: {i + 2} s, dark: {2 * (count - i) + 1} s)\n"
        f"  path_feed.way[{i}] -> lantern{i}"
        for i in range(1, count + 1)
    )
    shine = ", ".join(f"lantern{i}.on" for i in range(1, count + 1))
    body = f"""{gates.body}
  path      : supply({2 * count})
  path_feed : divider(ways: {count})
  path -> path_feed
{rows}
  let bright = any of ({shine})
  west.told when bright
  east.told when bright"""
    longest = "west.open lasts at most 16 s"
    apart = "never west.ajar and east.ajar"
    told = fails if fault else holds
    claims = (
        told("apart", apart, "as without lanterns: darkness only shuts a gate the sooner"),
        holds("longest", longest, "the leaf takes 4 s of the 20 s, darkness only more"),
        fails("shorter", "west.open lasts at most 16 s - 1 tick", "while some lantern shines"),
    )
    size = f"{count}, fault" if fault else str(count)
    return Garden("unrelated timers", size, body, claims)
