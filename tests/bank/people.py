"""What people press: levers in a row, two doors of a vestibule, buttons that know no other."""

from tests.bank.garden import Claim, Garden, fails, holds


def lever_lock(levers: int, *, fault: bool = False) -> Garden:
    """A gate that opens (2 s) once every other lever of a row is thrown, one press at a time.

    Half of the levers must be thrown, one a tick: all are right in tick levers/2 at the soonest.
    The gate is told there, sets out a tick later and is open 2 s after that. It is held for 10 s
    from the last tick with all right, so a throw that is undone at once leaves it told for 10 s and
    one tick. By a slip the last lever is not looked at.
    """
    half = levers // 2
    looked_at = levers - 1 if fault else levers
    if fault:
        claims: tuple[Claim, ...] = (
            fails("solved", "gate.ajar only after all of right", "the last lever is not asked"),
            holds("not_sooner", "gate.open no sooner than 2 s + 1 tick", "told at tick 0, if ever"),
        )
    else:
        soonest = f"possible gate.open within 2 s + {half + 1} tick"
        claims = (
            holds("not_sooner", "gate.open no sooner than 2 s + 2 tick", "not all right at tick 0"),
            holds("stays", "gate.open lasts at least 8 s + 1 tick", "10 s, one tick, less 2 s"),
            fails("stays_longer", "gate.open lasts at least 8 s + 2 tick", "undone at once"),
            holds("solved", "gate.ajar only after all of right", "nothing else tells the hold"),
            holds("soonest", soonest, f"{half} presses, one a tick"),
        )
    body = f"""
  row[1..{levers}] : lever(holds: 2 s, starts: yes)
  for i in 1..{levers} {{ let right[i] = row[i] = (i mod 2 = 1) }}
  for i in 1..{looked_at} {{ let seen[i] = right[i] }}
  vault : supply(2)
  hold  : off_delay(10 s)
  gate  : door(opens: 2 s, shuts: 2 s)
  vault -> hold -> gate
  hold.start when all of seen"""
    size = f"{levers}, fault" if fault else str(levers)
    return Garden("lever lock", size, body, claims, rules="one press at a time")


_BARS = {
    "first": ("", ""),
    "half-mended": (" and not open_in.on", " and not open_out.on"),
    "mended": (" and not open_in.on", " and not open_out.on and not ask_out"),
}
_APART = {
    "first": "both may be asked for before either has begun to move",
    "half-mended": "a press held till the other door is shut, and one in that very tick",
    "mended": "a running pulse bars the other side, and coming in yields to going out",
}


def vestibule(state: str, *, held: bool) -> Garden:
    """Two doors of which one must be shut: `first`, `half-mended` or `mended`; buttons held or not.

    One press at a time for the half-mended one: the weakest that still fails.
    """
    bar_out, bar_in = _BARS[state]
    hold = "300 ms" if held else "1 tick"
    told = holds if state == "mended" else fails
    claims = (
        told("apart", "never outer.ajar and inner.ajar", _APART[state]),
        holds("whole", "open_out.on lasts 6 s", "no start falls into it"),
        fails("shorter", "open_out.on lasts at most 6 s - 1 tick", "by one tick"),
        holds("way_in", "possible inner.open within 2 s + 2 tick", "asked for at tick 0"),
        fails("sooner", "possible inner.open within 2 s + 1 tick", "pulse at 1, door moves at 2"),
    )
    body = f"""
  house      : supply(8)
  house_feed : divider(ways: 2)
  ask_out    : button(holds: {hold})
  ask_in     : button(holds: {hold})
  open_out   : pulse(6 s)
  open_in    : pulse(6 s)
  outer      : door(opens: 2 s, shuts: 3 s)
  inner      : door(opens: 2 s, shuts: 3 s)
  house -> house_feed
  house_feed.way[1] -> open_out -> outer
  house_feed.way[2] -> open_in -> inner
  open_out.start when ask_out and not inner.ajar{bar_out}
  open_in.start when ask_in and not outer.ajar{bar_in}"""
    rules = "one press at a time" if state == "half-mended" else ""
    size = f"{state}, {'held' if held else 'free'}"
    return Garden("vestibule", size, body, claims, rules, coarse=100)


def beds(count: int, *, fault: bool = False) -> Garden:
    """Buttons that know nothing of each other, each with a flower bed watered for 4 s.

    By a slip the last bed also wants the first button.
    """
    answered = "any of ask starts leads to any of wet within 1 tick"
    if fault:
        claims: tuple[Claim, ...] = (
            fails("answered", answered, "the last button alone waters nothing"),
            holds("length", f"wet[{count}] lasts 4 s", "no start falls into it"),
        )
    else:
        claims = (
            holds("answered", answered, "whichever is pressed starts its bed, or finds it wet"),
            holds("length", f"wet[{count}] lasts 4 s", "no start falls into it"),
            fails("shorter", f"wet[{count}] lasts at most 4 s - 1 tick", "by one tick"),
            fails("not_all", "never all of wet", "all pressed within 4 s"),
            holds("all_wet", "possible all of wet within 1 tick", "all pressed at tick 0"),
        )
    also = f" and (i < {count} or ask[1])" if fault else ""
    body = f"""
  beds     : supply({count})
  bed_feed : divider(ways: {count})
  beds -> bed_feed
  ask[1..{count}]   : button(holds: 1 s)
  bloom[1..{count}] : pulse(4 s)
  for i in 1..{count} {{
    bed_feed.way[i] -> bloom[i]
    bloom[i].start when ask[i]{also}
    let wet[i] = bloom[i].on
  }}"""
    size = f"{count}, fault" if fault else str(count)
    return Garden("independent buttons", size, body, claims)
