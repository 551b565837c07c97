"""Small designs with dials for tests, and what a grid of single answers says of them."""

import random
from collections.abc import Mapping, Sequence
from itertools import product
from pathlib import Path

from verifier.design import files
from verifier.design.resolve import designs_in, resolve
from verifier.engines.decide import Effort
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.tuning.dials import Setting, dials
from verifier.tuning.dials_rig import Rig
from verifier.verdict.answer import Verdict


def rig_of(
    text: str,
    turned: Mapping[str, tuple[str, str]] | None = None,
    *,
    every: bool = False,
    seconds: float = 2.0,
) -> Rig:
    """Return the one design of a text with its dials."""
    collector = Collector()
    unit = files.of_source(Source("tuned.latch", text), Path("tuned.latch"), collector)
    assert unit is not None, collector.found
    (block,) = designs_in(unit)
    design = resolve(block, unit, collector)
    assert design is not None, collector.found
    return Rig(block, unit, {}, dials(design, turned or {}, every=every), Effort(seconds))


def claims_of(rig: Rig, at: Setting) -> list[str]:
    """Return the names of all claims."""
    return [one.name for one in rig.made(at).questions]


def grid(rig: Rig) -> list[Setting]:
    """Return all settings of a rig."""
    return list(product(*(range(dial.low, dial.high + 1) for dial in rig.dials)))


def holds(rig: Rig, at: Setting, claims: Sequence[str]) -> bool:
    """Whether all claims hold at a setting, each asked by itself; nothing may stay unknown."""
    found = [rig.decide(at, claim).verdict for claim in claims]
    assert Verdict.UNKNOWN not in found
    return all(one is Verdict.HOLDS for one in found)


# --- random designs ------------------------------------------------------------------------------

_SPANS = (
    "one",
    "two",
    "one + 1 tick",
    "2 * two",
    "one + two",
    "1 tick .. one",
    "two .. two + 2 ticks",
)


def random_design(seed: int, most: int = 7) -> str:
    """Return the text of a small design with two settings; the same for the same seed."""
    dice = random.Random(seed)
    parts, starts = [], []
    live = ["ask", "call"]
    for number in range(dice.randint(2, 3)):
        name = f"part{number}"
        kind = dice.choice(("pulse", "pulse", "on_delay", "off_delay", "door"))
        span = dice.choice(_SPANS)
        if kind == "door":
            parts.append(f"  {name} : door(opens: {span}, shuts: {dice.choice(_SPANS)})")
            starts.append(f"  {name}.told when {_condition(dice, live)}")
            live += [f"{name}.open", f"{name}.ajar"]
        else:
            more = ", again: yes" if kind == "pulse" and dice.random() < 0.3 else ""
            parts.append(f"  {name} : {kind}({span}{more})")
            starts.append(f"  {name}.start when {_condition(dice, live)}")
            live += [f"{name}.on"]
    feeds = [f"  feed.way[{i + 1}] -> part{i}" for i in range(len(parts))]
    claims = [f"  claim c{number}: {_claim(dice, live[2:])}" for number in range(2)]
    rule = ["  one press at a time"] if dice.random() < 0.3 else []
    return "\n".join(
        [
            "design tuned {",
            f"  setting one = {dice.randint(1, most)} ticks tunable 1 tick .. {most} ticks",
            f"  setting two = {dice.randint(1, most)} ticks tunable 1 tick .. {most} ticks",
            "  free ask: signal",
            "  free call: signal",
            "  mains : supply(12)",
            f"  feed : divider(ways: {len(parts)})",
            "  mains -> feed",
            *rule,
            *parts,
            *feeds,
            *starts,
            *claims,
            "}",
        ]
    )


def _condition(dice: random.Random, live: Sequence[str]) -> str:
    one, other = dice.choice(live), dice.choice(live)
    return dice.choice((one, f"{one} and not {other}", f"{one} or {other}", f"{one} and {other}"))


def _claim(dice: random.Random, live: Sequence[str]) -> str:
    one, other = dice.choice(live), dice.choice(live)
    time = dice.choice(("3 ticks", "5 ticks", "8 ticks", "one", "two + 1 tick", "one + two"))
    return dice.choice(
        (
            f"never {one} and not {other}",
            f"never {one} and {other}",
            f"{one} lasts at most {time}",
            f"{one} lasts at least {time}",
            f"{one} leads to {other} within {time}",
            f"possible {one} within {time}",
            f"{one} no sooner than {time}",
            f"{one} at most 2 times in any {time}",
        )
    )
