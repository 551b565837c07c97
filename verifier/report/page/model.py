"""What stands on a page, in words and numbers; how it is laid out is the template's business."""

from dataclasses import dataclass

from verifier.report.events import Kind
from verifier.report.page.looks import Course
from verifier.report.page.moments import Said


@dataclass(frozen=True, slots=True)
class ClaimLine:
    """A claim with its answer. `latch` names the sign; `line` is 0 for what no line states.

    `tale` is the number of the tale that shows it, None where no run does.
    """

    latch: str
    name: str
    text: str
    written: str
    verdict: str
    how: str
    remarks: tuple[str, ...]
    line: int
    tale: int | None


@dataclass(frozen=True, slots=True)
class PartLine:
    """A part, or a value of the design's own: what it is, was told, and draws; `id` shows it."""

    id: str
    name: str
    sort: str
    told: str
    draws: int
    line: int


@dataclass(frozen=True, slots=True)
class Told:
    """A line of the why: its mark, when it was, what happened and what by.

    `on` are the ids of the parts in the wiring drawing that it is about.
    """

    mark: str
    tick: int
    time: str
    kind: Kind
    words: str
    reasons: str
    line: int
    on: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Tale:
    """A run, told and drawn.

    `ticks` are the moments at which anything changes, `said` what happens at each. `courses` are
    those of the things of the page, in their order, `rows` those of the rows of the time diagram.
    `panels` are its drawings, each with the tick at which it ends. `stop` is the tick that the run
    is about, None where it is about none; `broken`: a claim breaks there; `endless`: by waiting for
    ever. `another`: it is a longer run than that of the answer, and says so.
    """

    name: str
    title: str
    statement: str
    told: tuple[Told, ...]
    left_out: int
    resting: int
    again: str
    length: int
    ticks: tuple[int, ...]
    said: tuple[tuple[Said, ...], ...]
    courses: tuple[Course, ...]
    rows: tuple[Course, ...]
    panels: tuple[tuple[int, str], ...]
    stop: int | None
    broken: bool
    endless: bool
    another: bool = False


@dataclass(frozen=True, slots=True)
class KeyLine:
    """A sign that is drawn, and what it means."""

    drawing: str
    words: str


@dataclass(frozen=True, slots=True)
class Page:
    """All of a page. `things` are the ids of the elements that show each thing.

    `wide`: there is no room beside the wiring.
    """

    name: str
    facts: str
    tally: str
    fails: bool
    why: str
    claims: tuple[ClaimLine, ...]
    tales: tuple[Tale, ...]
    wiring: str
    wide: bool
    parts: tuple[PartLine, ...]
    things: tuple[tuple[str, ...], ...]
    keys: tuple[KeyLine, ...]
    file: str
    source: tuple[str, ...]
    tick_ns: int
