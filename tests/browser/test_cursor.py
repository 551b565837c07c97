"""The cursor: how it moves, and that what it lights is what the run says."""

from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext

from tests.browser.pages import APART, SPAN, WHERE, large
from tests.browser.view import View
from verifier.report.clock import Clock
from verifier.simulate.readings import Readings
from verifier.simulate.watch import watch

CLOCK = Clock(WHERE.design.tick_ns)
READINGS: Readings = watch(WHERE, APART, None, 24).readings
EVENTS = (0, 1, 2, 3, 22, 61, 62, 92)
"""When anything changes in the run: the presses, each timer's start and end, each door's travel."""


def test_it_begins_at_the_break(view: View) -> None:
    assert view.tick == 2
    assert view.text("time") == "0.2 s"
    assert "outer is ajar and inner is ajar" in view.text("what")
    assert view.text("count") == "event 3 of 8"
    assert view.page.locator("#what .break").count() == 1


def test_keys_step_by_event_and_by_tick(view: View) -> None:
    view.press("Home")
    seen = [view.tick]
    for _ in EVENTS[1:]:
        view.press("ArrowRight")
        seen.append(view.tick)
    assert tuple(seen) == EVENTS
    view.press("ArrowRight")
    assert view.tick == EVENTS[-1]
    view.press("ArrowLeft", "ArrowLeft")
    assert view.tick == EVENTS[-3]
    view.press("Shift+ArrowRight", "Shift+ArrowRight", "Shift+ArrowLeft")
    assert view.tick == EVENTS[-3] + 1
    view.press("End")
    assert view.tick == view.last == READINGS.length - 1


def test_between_events_a_step_goes_to_the_next_or_the_last_one(view: View) -> None:
    view.press("Home", "ArrowRight", "ArrowRight", "ArrowRight", "Shift+ArrowRight")
    assert (view.tick, view.text("what"), view.text("count")) == (
        4,
        "nothing changes",
        "after event 4 of 8",
    )
    view.press("ArrowLeft")
    assert view.tick == 3
    view.press("Shift+ArrowRight", "ArrowRight")
    assert view.tick == 22


def test_x_goes_to_the_break_and_digits_to_the_marks(view: View) -> None:
    view.press("End", "x")
    assert view.tick == 2
    ticks = []
    for mark in "12345":
        view.press(mark)
        ticks.append(view.tick)
    assert ticks == [0, 1, 1, 2, 2]
    view.press("9")
    assert view.tick == 2


def test_buttons_do_as_the_keys(view: View) -> None:
    view.page.get_by_role("button", name="one event on").click()
    assert view.tick == 3
    view.page.get_by_role("button", name="one event back").click()
    view.page.get_by_role("button", name="one event back").click()
    assert view.tick == 1
    view.page.get_by_role("button", name="to the ×").click()
    assert view.tick == 2


def test_the_lines_of_the_why_at_the_cursor_are_marked(view: View) -> None:
    view.press("2")
    marked = view.page.locator(".why:visible li.now").all_inner_texts()
    assert [one.split("\n")[-1][:8] for one in marked] == ["open_out", "open_in "]
    view.page.locator(".why:visible a.when").first.click()
    assert view.tick == 0


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_the_track_takes_the_pointer_to_the_nearest_event(view: View, share: float) -> None:
    box = view.slider.bounding_box()
    assert box is not None
    view.slider.click(position={"x": 1 + share * (box["width"] - 2), "y": 10})
    assert view.tick == EVENTS[round(share * (len(EVENTS) - 1))]


def test_a_click_into_the_time_diagram_goes_there(view: View) -> None:
    # A numeral stands over its own mark on the rule.
    numeral = view.page.locator(".time-of:visible text.numeral", has_text="6.1")
    numeral.first.click()
    assert abs(view.tick - 61) <= 1


def test_the_slider_says_what_a_reader_of_the_screen_needs(view: View) -> None:
    view.press("2", "ArrowLeft")
    told = view.slider.get_attribute("aria-valuetext")
    assert told == "0.0 s, event 1 of 8: someone presses ask_out and ask_in at once"
    assert view.page.locator("[aria-live=polite] #time").inner_text() == "0.0 s"


# --- what is lit ---


def value(trace_readings: Readings, path: str, tick: int) -> int:
    return trace_readings.at(path, tick)


def test_wires_and_parts_are_lit_as_the_run_says_at_each_event(view: View) -> None:
    view.press("Home")
    seen = 0
    for tick in EVENTS:
        assert view.tick == tick
        for net, title, lit, units in view.wires():
            # A gate's wire has no net of its own: it gives what the input that it leads to reads.
            path = net or title.partition(" to ")[2].replace(" ", ".")
            now = value(READINGS, path, tick)
            assert lit == (now > 0), (tick, path)
            power = path.startswith(("mains", "feed", "open_")) and not path.endswith("start")
            assert units == (str(now) if power and now else ""), (tick, path)
            seen += 1
        check_parts(view, tick)
        view.press("ArrowRight")
    assert seen == 11 * len(EVENTS)


def check_parts(view: View, tick: int) -> None:
    parts = view.parts()
    for door in ("outer", "inner"):
        classes, words = parts[door]
        moving, is_open = (value(READINGS, f"{door}.{one}", tick) for one in ("moving", "open"))
        assert ("open" in classes) == bool(is_open)
        assert bool({"opening", "shutting"} & classes) == bool(moving)
        assert (words == "shut") == (not moving and not is_open)
        if moving:
            assert words.endswith(f"{CLOCK.span(READINGS.left(f'{door}.left', tick))} to go")
    for timer in ("open_out", "open_in"):
        left = READINGS.left(f"{timer}.left", tick)
        words = f"{CLOCK.span(left)} left" if left else "gives nothing"
        assert parts[timer][1] == words
        assert view.page.locator("table td.state").nth(4).inner_text() == parts["open_out"][1]
    for button in ("ask_out", "ask_in"):
        pressed = value(READINGS, f"{button}.out", tick)
        assert parts[button][1] == ("pressed" if pressed else "at rest")
        assert ("live" in parts[button][0]) == bool(pressed)


def test_a_timer_falls_between_events_as_the_run_says(view: View) -> None:
    view.press("Home", "ArrowRight")
    for _ in range(8):
        view.press("Shift+ArrowRight")
        left = READINGS.left("open_out.left", view.tick)
        assert view.parts()["open_out"][1] == f"{CLOCK.span(left)} left"
        strip = view.page.locator("#wiring-part-open_out .strip").evaluate(
            "(one) => new DOMMatrix(getComputedStyle(one).transform).a"
        )
        assert strip == pytest.approx(left / 60, abs=1e-3)
        assert view.text("time") == CLOCK.moment(view.tick)


def test_times_are_written_as_everywhere_else(context: BrowserContext, slow_file: Path) -> None:
    clock = Clock(10_000_000)
    with View.of(context, slow_file) as view:
        assert view.text("stop") == "to the ×"
        view.press("Home", "ArrowRight")  # the timer starts
        seen = set()
        for keys in ("Shift+ArrowRight", "ArrowRight", "Shift+ArrowLeft", "Shift+ArrowLeft") * 2:
            view.press(keys)
            seen.add(view.tick)
            assert view.text("time") == clock.moment(view.tick)
            left = SPAN - (view.tick - 1) if 0 < view.tick <= SPAN else 0
            words = f"{clock.span(left)} left" if left else "gives nothing"
            assert view.parts()["slow"][1] == words
        assert max(seen) > 360_000
        view.is_quiet()


def test_the_marks_of_the_why_stand_on_the_parts(view: View) -> None:
    found = view.page.locator(".wiring .tag").evaluate_all(
        "(all) => all.map((one) => [one.closest('.part').dataset.part, one.textContent])"
    )
    assert sorted(found) == [
        ["ask_in", "1"],
        ["ask_out", "1"],
        ["inner", "5"],
        ["open_in", "3"],
        ["open_out", "2"],
        ["outer", "4"],
    ]


def test_another_run_is_shown_with_its_own_drawing(view: View) -> None:
    view.page.get_by_role("link", name="How ways is reached").first.click()
    assert view.tick == 22
    assert view.page.locator("#story h2:visible").inner_text() == "How ways is reached"
    assert view.page.locator(".time-of:visible").count() == 1
    assert view.parts()["inner"][1] == "open"
    assert view.parts()["outer"][1] == "shut"
    assert view.text("stop") == "to the goal"
    view.page.locator("tr#claim-0").get_by_role("link", name="show the run").click()
    assert view.page.locator("#story h2:visible").inner_text() == "How apart comes to be broken"


def test_only_the_panel_of_the_cursor_is_drawn(context: BrowserContext, large_file: Path) -> None:
    (tale,) = large().tales
    ends = [end for end, _ in tale.panels]
    assert len(ends) > 1
    with View.of(context, large_file) as view:
        view.press("Home")
        # From the last events of the first panel into the second one.
        start = next(at for at, tick in enumerate(tale.ticks) if tick >= ends[0]) - 3
        view.press(*["ArrowRight"] * start)
        for at, tick in enumerate(tale.ticks[start : start + 6]):
            view.press(*["ArrowRight"] * bool(at))
            assert view.tick == tick
            shown = view.page.locator(".panel-of:visible")
            assert shown.count() == 1
            panel = shown.locator("g.panel")
            assert int(panel.get_attribute("data-end") or 0) == next(e for e in ends if tick < e)
            assert shown.locator("g.cursor").count() == 1
        view.is_quiet()
