"""A large page: 60 parts, and a run in which something happens some 2,000 times.

As a command this writes the page and measures how fast it answers to the cursor in a real browser;
docs/page.md has the figures: `python -m tests.browser.large`.
"""

import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import CDPSession, sync_playwright

from tests.browser.browsing import CHROMIUM
from verifier.design.files import of_source
from verifier.design.resolve import designs_in, resolve
from verifier.report.page.build import page_of
from verifier.report.page.model import Page
from verifier.report.page.write import text_of
from verifier.simulate.told import played
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.system.lower import lower
from verifier.system.model import System
from verifier.verdict.answer import Answer, Outcome, Verdict

LIGHTS = 28
STEPS = 200


def text(lights: int = LIGHTS, seconds: int = 260) -> str:
    """Return a garden of lights that blink each at a pace of its own, and of a bell far behind."""
    lines = ["design lanterns {", "  mains : supply(100)", f"  feed : divider(ways: {lights + 1})"]
    lines += ["  mains -> feed", f"  late : on_delay({seconds} s)", "  gong : bell"]
    lines += [f"  feed.way[{lights + 1}] -> late -> gong", "  late.start when pace_1 or not pace_1"]
    for at in range(1, lights + 1):
        lit, dark = 200 + 100 * ((at * 7) % 23), 300 + 100 * ((at * 11) % 29)
        lines.append(f"  pace_{at} : flasher(lit: {lit} ms, dark: {dark} ms)")
        lines.append(f"  light_{at} : lamp")
        lines.append(f"  feed.way[{at}] -> pace_{at} -> light_{at}")
        lines.append(f"  pace_{at}.told when light_{max(1, at - 1)}.starving or not gong")
    row = ", ".join(f"light_{at}" for at in range(1, lights + 1))
    lines.append(f"  claim quiet: never gong and at most {lights} of ({row})")
    return "\n".join([*lines, "}", ""])


def system_of(written: str) -> System:
    """Return the system of a text in which nothing is wrong."""
    collector = Collector()
    unit = of_source(Source("lanterns.latch", written), Path("lanterns.latch"), collector)
    if unit is None:
        raise ValueError(collector.found)
    design = resolve(designs_in(unit)[0], unit, collector)
    if design is None:
        raise ValueError(collector.found)
    return lower(design)


def page(lights: int = LIGHTS, seconds: int = 260) -> Page:
    """Return the page of the run to the tick at which the bell rings."""
    system = system_of(text(lights, seconds))
    (question,) = (one for one in system.questions if one.name == "quiet")
    run = played(system, [], seconds * 1_000_000_000 // system.design.tick_ns + 1)
    return page_of(system, [Answer(question, Outcome(Verdict.FAILS, trace=run))])


# Presses a key, and waits until what it changed has been painted.
_STEP = """async (key) => {
  const slider = document.querySelector('[role=slider]');
  slider.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true }));
  await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
}"""


@dataclass(frozen=True, slots=True)
class Measured:
    """Milliseconds: to open a page, and of the page's own thread for each step of the cursor.

    The time of the thread is what a step costs whatever else the machine does.
    """

    opened: float
    steps: list[float]


def measure(path: Path) -> Measured:
    """Return how fast a page answers."""
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        sheet = browser.new_page(viewport={"width": 1400, "height": 900})
        start = time.perf_counter()
        sheet.goto(path.as_uri())
        opened = (time.perf_counter() - start) * 1000
        probe = sheet.context.new_cdp_session(sheet)
        probe.send("Performance.enable", {"timeDomain": "threadTicks"})
        sheet.evaluate(_STEP, "Home")
        sheet.locator("#story").scroll_into_view_if_needed()
        steps = []
        for _ in range(STEPS):
            before = _spent(probe)
            sheet.evaluate(_STEP, "ArrowRight")
            steps.append(_spent(probe) - before)
        browser.close()
    return Measured(opened, sorted(steps))


def _spent(probe: CDPSession) -> float:
    told = probe.send("Performance.getMetrics")["metrics"]
    return next(float(one["value"]) * 1000 for one in told if one["name"] == "TaskDuration")


def main() -> None:
    """Write the page, and tell what was measured."""
    start = time.perf_counter()
    made = page()
    built = time.perf_counter() - start
    written = text_of(made)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lanterns.html"
        path.write_text(written, encoding="utf-8")
        found = measure(path)
    (tale,) = made.tales
    size = len(written.encode()) / 1e6
    middle, most = found.steps[STEPS // 2], found.steps[STEPS * 95 // 100]
    sys.stdout.write(
        f"{len(made.parts)} parts, {len(tale.ticks)} events, {len(tale.panels)} panels\n"
        f"built in {built:.1f} s, {size:.2f} MB, opened in {found.opened:.0f} ms\n"
        f"a step: median {middle:.1f} ms, 95 % within {most:.1f} ms,"
        f" worst {found.steps[-1]:.1f} ms\n"
    )


if __name__ == "__main__":
    main()
