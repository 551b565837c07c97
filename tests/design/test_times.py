"""Times in whole ticks, ranges and tolerance."""

import pytest

from tests.design.make import codes, design, net, resolved, timer
from verifier.design.files import standard
from verifier.design.model import Edge, Live, Not, Truth
from verifier.design.resolve import Wishes
from verifier.report.bench import bench
from verifier.source.diagnostic import Severity

GLOW = "design d {{ {head} mains : supply(3)  glow : pulse({span})  mains -> glow  {tail} }}"
START = "press : button  press -> glow.start"


def spans(head: str, span: str) -> tuple[int, int]:
    load = timer(design(GLOW.format(head=head, span=span, tail=START)), "glow.left").loads[0]
    return load.low, load.high


DRIFTING = "design d {{ tick 1 s  tolerance {percent} %  free go: signal  {glass} }}"


@pytest.mark.parametrize(
    ("glass", "place", "headline"),
    [
        (
            "keep t: timer  t loads 10 s - t when go starts",
            "10 s",
            "the tolerance does not widen this span: `t` is turned over",
        ),
        (
            "keep t: timer = 9 s + 1 s",
            "9 s + 1 s",
            "the tolerance does not widen this span: `t` starts with it",
        ),
    ],
)
def test_a_span_that_a_tolerance_leaves_exact_is_told(
    glass: str, place: str, headline: str
) -> None:
    found, told = resolved(DRIFTING.format(percent=20, glass=glass))
    assert found is not None
    glass_timer = timer(found, "t")
    assert glass_timer.exact
    assert glass_timer.longest == 10
    assert [(one.code, one.headline, one.severity) for one in told] == [
        ("exact-span", headline, Severity.WARNING)
    ]
    assert told[0].span is not None
    assert told[0].span.text == place
    assert told[0].mend
    assert codes(DRIFTING.format(percent=0, glass=glass)) == []


@pytest.mark.parametrize(
    "glass",
    [
        "keep t: timer = 1 s",
        "keep t: timer  t loads 1 s - t when go starts",
        "keep t: timer  t loads 10 s when go starts",
    ],
)
def test_nothing_is_told_where_a_tolerance_leaves_nothing_out(glass: str) -> None:
    found, told = resolved(DRIFTING.format(percent=20, glass=glass))
    assert found is not None
    assert told == []
    assert not timer(found, "t").exact


def test_no_standard_part_has_a_span_that_a_tolerance_leaves_exact() -> None:
    placed = [bench(block, standard()) for block in standard().file.blocks if not block.is_design]
    timers = [one for at in placed if at is not None for one in at.design.timers]
    assert {one.path for one in timers} >= {"door.left", "pulse.left", "daylight.left"}
    assert not [one.path for one in timers if one.exact]


@pytest.mark.parametrize(
    ("head", "span", "ticks"),
    [
        ("tick 100 ms", "6 s", (60, 60)),
        ("tick 10 ms", "1 h", (360_000, 360_000)),
        ("tick 1 min", "41 min .. 43 min", (41, 43)),
        ("tick 100 ms", "2 s + 1 tick", (21, 21)),
        ("tick 100 ms", "3 * 2 s", (60, 60)),
        ("tick 100 ms", "2 s * 3", (60, 60)),
        ("tick 100 ms", "6 s div 3", (20, 20)),
        ("tick 100 ms", "6 s div 1", (60, 60)),
        ("tick 100 ms", "6 s - 2 s", (40, 40)),
        ("tick 100 ms", "0 s .. 2 s - 2 s", (0, 0)),
        ("tick 100 ms", "2 s .. 2 s", (20, 20)),
        ("tick 100 ms", "3 ticks", (3, 3)),
        ("tick 100 ms setting stay = 5 s", "stay", (50, 50)),
        # Both ends of a range take part.
        ("tick 100 ms setting stay = 1 s .. 3 s", "stay + 2 s", (30, 50)),
        ("tick 100 ms setting stay = 1 s .. 3 s", "2 s + stay", (30, 50)),
        ("tick 100 ms setting stay = 1 s .. 3 s", "stay - 1 s", (0, 20)),
        ("tick 100 ms setting stay = 1 s .. 3 s", "5 s - stay", (20, 40)),
        ("tick 1 s setting stay = 1 s .. 3 s setting long = 5 s .. 6 s", "long - stay", (2, 5)),
        ("tick 1 s setting stay = 1 s .. 3 s setting long = 5 s .. 6 s", "long + stay", (6, 9)),
        ("tick 100 ms setting stay = 1 s .. 3 s", "stay * 2", (20, 60)),
        ("tick 100 ms setting stay = 1 s .. 3 s", "2 * stay", (20, 60)),
        ("tick 100 ms setting stay = 1 s .. 3 s", "stay div 2", (5, 15)),
        # 2 % of 6 s are 0.12 s: outward to whole ticks of 100 ms.
        ("tick 100 ms tolerance 2 %", "6 s", (58, 62)),
        ("tick 10 ms tolerance 2 %", "6 s", (588, 612)),
        ("tick 10 ms tolerance 10 %", "1 s .. 2 s", (90, 220)),
        ("tick 1 s tolerance 10 %", "1 h .. 2 h", (3240, 7920)),
        # Never below a tick, unless it was none; and a single tick stays one.
        ("tick 1 s tolerance 100 %", "2 s", (1, 4)),
        ("tick 1 s tolerance 10 %", "0 s .. 10 s", (0, 11)),
        ("tick 1 s tolerance 10 %", "1 s", (1, 1)),
        ("tick 1 s tolerance 10 %", "1 s .. 20 s", (1, 22)),
        ("tick 1 s tolerance 100 %", "2 s .. 3 s", (1, 6)),
    ],
)
def test_spans_become_ticks(head: str, span: str, ticks: tuple[int, int]) -> None:
    assert spans(head, span) == ticks


def test_a_span_off_the_tick_names_the_two_nearest_and_a_tick_that_would_do() -> None:
    _, told = resolved(GLOW.format(head="tick 100 ms", span="250 ms", tail=START))
    assert [one.code for one in told] == ["off-tick"]
    assert told[0].mend == "use `200 ms` or `300 ms`, or `tick 50 ms`"
    assert told[0].span is not None
    assert told[0].span.text == "250 ms"


def test_rounding_that_outdoes_the_tolerance_is_warned_of_with_a_finer_tick() -> None:
    _, told = resolved(GLOW.format(head="tick 1 s tolerance 2 %", span="6 s", tail=START))
    assert [one.code for one in told] == ["coarse-tolerance"]
    assert told[0].mend == "`tick 40 ms` would do"


@pytest.mark.parametrize(
    ("percent", "span", "told"),
    [
        (10, "5 s", False),  # 4.5 s and 5.5 s: half a second more, as much as the tolerance itself
        (10, "4 s", True),  # 3.6 s: 600 ms more, and the tolerance is 400 ms
        (10, "4 s .. 10 s", True),  # likewise, and nothing at the other end
        (5, "10 s .. 21 s", True),  # 22.05 s: 950 ms more at the far end only
        (5, "10 s .. 18 s", False),  # 18.9 s: 100 ms more
        (10, "10 s .. 20 s", False),
        (1, "50 s .. 150 s", False),  # 151.5 s: half a second more, as much as at the near end
        (1, "50 s .. 149 s", True),  # 150.49 s: 10 ms more than that
        (10, "1 s", False),
    ],
)
def test_rounding_is_weighed_at_both_ends(percent: int, span: str, told: bool) -> None:
    found = codes(GLOW.format(head=f"tick 1 s tolerance {percent} %", span=span, tail=START))
    assert found == ["coarse-tolerance"] * told


GLASS = (
    "kind glass {{ in turn: signal  keep left: timer  {lines}  out out: signal = left > 0 s }}"
    " design d {{ tick 1 s {head} press : button  one : glass  press -> one.turn }}"
)


def test_a_timer_has_its_loads_in_order_and_runs_while_it_may() -> None:
    lines = "left loads 0 s when turn ends, 2 s .. 4 s when turn, 9 s  left runs while not turn"
    found = design(GLASS.format(lines=lines, head=""))
    loads, turn = timer(found, "one.left").loads, Live(net(found, "one.turn"))
    assert [(load.low, load.high, load.turned) for load in loads] == [
        (0, 0, False),
        (2, 4, False),
        (9, 9, False),
    ]
    assert [load.condition for load in loads] == [
        Edge(turn, rising=False),
        turn,
        Truth(value=True),
    ]
    assert [load.span.text for load in loads] == ["0 s", "2 s .. 4 s", "9 s"]
    assert timer(found, "one.left").runs == Not(turn)


def test_a_glass_that_is_turned_keeps_its_span_whatever_the_tolerance() -> None:
    for head in ("", "tolerance 10 %"):
        lines = "left loads 40 s - left when turn starts"
        (load,) = timer(design(GLASS.format(lines=lines, head=head)), "one.left").loads
        assert (load.low, load.high, load.turned) == (40, 40, True)


@pytest.mark.parametrize(
    ("lines", "code"),
    [
        ("left loads 2 s when turn  left loads 3 s", "twice"),
        ("left loads 2 s  left runs while turn  left runs while turn", "twice"),
        ("keep other: timer  left loads 2 s - other when turn  other loads 3 s", "wrong-type"),
        ("turn loads 2 s", "wrong-type"),
        ("left loads 2 s .. 4 s - left when turn", "wrong-unit"),
    ],
)
def test_what_a_timer_may_not_do(lines: str, code: str) -> None:
    assert codes(GLASS.format(lines=lines, head="")) == [code]


@pytest.mark.parametrize(
    ("span", "code"),
    [
        ("3 s + 2", "wrong-unit"),
        ("5", "wrong-unit"),
        ("2 s - 3 s", "out-of-range"),
        ("3 s .. 2 s", "out-of-range"),
        ("none * (1 - 2)", "out-of-range"),
        ("none - 1 s", "out-of-range"),
        ("(1 - 2) * none", "out-of-range"),
        ("6 s div 0", "out-of-range"),
        ("6 s mod 4", "wrong-unit"),
        ("6 s * press", "not-fixed"),
        ("yes", "wrong-type"),
        ("press", "not-fixed"),
    ],
)
def test_what_is_no_time_is_refused(span: str, code: str) -> None:
    head = "setting none = 0 s .. 3 s" if "none" in span else ""
    assert codes(GLOW.format(head=head, span=span, tail=START)) == [code]


def test_settings_and_ticks_from_the_command_line() -> None:
    text = GLOW.format(head="tick 100 ms setting stay = 5 s", span="stay", tail=START)
    found = design(text, Wishes({"stay": "7 s"}, finer=5))
    assert found.tick_ns == 20_000_000
    assert timer(found, "glow.left").loads[0].low == 350
    assert codes(text, Wishes({"sty": "7 s"})) == ["unknown-name"]
    assert codes(text, Wishes({"stay": "7"})) == ["wrong-unit"]
    assert "unreadable" in codes(text, Wishes({"stay": "7 s } design e {"})) or codes(
        text, Wishes({"stay": ")"})
    )
    assert codes(text, Wishes(finer=7)) == ["off-tick"]
