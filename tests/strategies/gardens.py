"""A Hypothesis strategy for small designs, as text in the language itself.

They use the standard parts with spans of a few ticks, so that every state can be tried. All read
without error; what they do is up to chance.
"""

from dataclasses import dataclass, field

from hypothesis import strategies as st

Draw = st.DrawFn

_SIGNAL = (
    "latch",
    "latch(wins: set)",
    "toggle",
    "edge",
    "edge(way: falling)",
    "counter(limit: 2)",
)
_POWER = (
    "pulse({a} ticks)",
    "pulse({a} ticks, again: yes)",
    "on_delay({a} ticks)",
    "off_delay({a} ticks)",
    "off_delay({a} ticks, again: no)",
    "flasher(lit: {a} ticks, dark: {b} ticks)",
    "door(opens: {a} ticks, shuts: {b} ticks)",
)
_INPUTS = {
    "latch": ("set", "reset"),
    "toggle": ("press",),
    "edge": ("input",),
    "counter": ("up", "reset"),
    "pulse": ("start",),
    "on_delay": ("start",),
    "off_delay": ("start",),
    "flasher": ("told",),
    "door": ("told",),
}


@dataclass(slots=True)
class Garden:
    """A design in the making: its lines, and the names that can be live."""

    lines: list[str] = field(default_factory=list)
    names: list[str] = field(default_factory=list)


def conditions(draw: Draw, names: list[str], depth: int = 2) -> str:
    """Draw a condition over names."""
    if depth == 0 or draw(st.booleans()):
        name = draw(st.sampled_from(names))
        return draw(st.sampled_from((name, f"not {name}", f"{name} starts", f"({name} ends)")))
    left, right = (conditions(draw, names, depth - 1) for _ in range(2))
    return f"({left} {draw(st.sampled_from(('and', 'or')))} {right})"


def sentences(draw: Draw, names: list[str]) -> str:
    """Draw a sentence of any form and scope."""
    p, q, r = (conditions(draw, names, 1) for _ in range(3))
    d, e = (draw(st.integers(0, 4)) for _ in range(2))
    bare = (
        f"possible {p} within {d} ticks",
        f"possible {p}",
        f"{p} no sooner than {d} ticks",
        f"always possible {p}",
        f"always possible {p} within {d} ticks",
    )
    scoped = (
        f"never {p}",
        f"always {p}",
        f"{p} lasts at least {d} ticks",
        f"{p} lasts at most {d} ticks",
        f"{p} lasts {min(d, e)} ticks .. {max(d, e)} ticks",
        f"{p} returns within {d} ticks",
        f"{p} returns",
        f"{p} leads to {q} within {d} ticks",
        f"{p} leads to {q}",
        f"{p} only after {q}",
        f"{p} only after {q} then {r} within {d} ticks",
        f"{p} only after {q} then {r} each within {d} ticks",
        f"{p} only while {q}",
        f"{p} at most {e % 3} times in any {d + 1} ticks",
        f"eventually {p} within {d} ticks",
        f"eventually {p}",
    )
    if draw(st.integers(0, 3)) == 0:
        return draw(st.sampled_from(bare))
    inner = draw(st.sampled_from(scoped))
    scopes = ("", "", f"while {r}: ", f"after {r}: ", f"from {r} until {q}: ")
    return draw(st.sampled_from(scopes)) + inner


@st.composite
def gardens(draw: Draw, claims: int = 3) -> str:
    """Draw a design with some claims."""
    garden = Garden()
    for number in range(draw(st.integers(0, 2))):
        kind = draw(st.sampled_from(("button", "button(holds: 2 ticks)", "lever")))
        garden.lines.append(f"hand{number} : {kind}")
        garden.names.append(f"hand{number}")
    placed = draw(st.lists(st.sampled_from((*_SIGNAL, *_POWER)), min_size=1, max_size=3))
    powered = []
    for number, pattern in enumerate(placed):
        spans = {key: draw(st.integers(1, 4)) for key in "ab"}
        garden.lines.append(f"part{number} : {pattern.format(**spans)}")
        kind = pattern.split("(")[0]
        garden.names.append(f"part{number}.ajar" if kind == "door" else f"part{number}")
        if pattern in _POWER:
            powered.append(number)
    if powered:
        supply = draw(st.integers(1, 2 * len(powered)))
        garden.lines.append(f"mains : supply({supply})")
        garden.lines.append(f"feed : divider(ways: {len(powered)})")
        garden.lines.append("mains -> feed")
        garden.lines += [f"feed.way[{at}] -> part{n}" for at, n in enumerate(powered, start=1)]
    hands = len(garden.names) - len(placed)
    for number, pattern in enumerate(placed):
        # Mostly by what was placed before: loops in the same tick are refused.
        earlier = garden.names[: hands + number]
        anything = draw(st.integers(0, 4)) == 0
        names = garden.names if anything or not earlier else earlier
        for port in _INPUTS[pattern.split("(")[0]]:
            garden.lines.append(f"part{number}.{port} when {conditions(draw, names)}")
    if draw(st.integers(0, 3)) == 0:
        garden.lines.append("one press at a time")
    for number in range(claims):
        garden.lines.append(f"claim c{number}: {sentences(draw, garden.names)}")
    body = "\n  ".join(garden.lines)
    return f"design garden {{\n  tick 100 ms\n  {body}\n}}\n"
