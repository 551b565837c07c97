"""What anyone can read: by keyboard, by ear, in the dark, on a phone, on paper, and only that."""

from collections.abc import Sequence
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import BrowserContext

from tests.browser.view import Scheme, View

AXE = Axe()


def faults(view: View) -> Sequence[str]:
    """Return what axe-core calls serious or critical."""
    found = AXE.run(view.page).response["violations"]
    return [
        f"{one['id']}: {node['html']} {node['failureSummary']}"
        for one in found
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"]
    ]


@pytest.mark.parametrize(("scheme", "width"), [("light", 1400), ("dark", 400)])
def test_axe_finds_no_serious_fault(
    context: BrowserContext, vestibule_file: Path, scheme: Scheme, width: int
) -> None:
    with View.of(context, vestibule_file, scheme, width) as view:
        view.press("2")  # parts at work, a marked line, and a claim broken
        assert faults(view) == []
        view.is_quiet()


def test_axe_does_look(view: View) -> None:
    view.page.locator("#back").evaluate(
        "(one) => { one.removeAttribute('aria-label'); one.textContent = ''; }"
    )
    (fault,) = faults(view)
    assert fault.startswith("button-name")


def test_a_link_leads_to_its_line_of_the_source(view: View) -> None:
    view.page.locator("tr#claim-0").get_by_role("link", name="line 16").click()
    line = view.page.locator("li:target")
    assert line.get_attribute("id") == "line-16"
    assert line.inner_text().strip().startswith('claim apart "never both ajar"')
    assert view.page.locator(":target").evaluate(
        "(one) => one.getBoundingClientRect().top >= 0 && "
        "one.getBoundingClientRect().bottom <= innerHeight"
    )
    view.page.locator(".why:visible").get_by_role("link", name="line 14").click()
    assert "open_out.start when" in view.page.locator("li:target").inner_text()


def test_the_rail_leads_to_the_claims(view: View) -> None:
    rail = view.page.get_by_role("navigation", name="Claims")
    assert rail.get_by_role("link").count() == 5
    rail.get_by_role("link", name="calm: unknown").click()
    assert view.page.locator("tr:target th").inner_text() == "calm"


def test_the_focus_is_seen(view: View) -> None:
    view.page.keyboard.press("Tab")
    outline = "(one) => [getComputedStyle(one).outlineStyle, getComputedStyle(one).outlineWidth]"
    assert view.page.locator(":focus").evaluate(outline) == ["solid", "3px"]
    view.slider.focus()
    view.page.keyboard.press("ArrowRight")
    assert view.slider.evaluate(outline) == ["solid", "3px"]


@pytest.mark.parametrize("width", [360, 400, 640, 721, 800, 1180, 1181, 1280])
def test_no_column_of_the_parts_is_cut(
    context: BrowserContext, vestibule_file: Path, width: int
) -> None:
    with View.of(context, vestibule_file, "light", width) as view:
        room = view.page.locator(".parts .scroll")
        room.scroll_into_view_if_needed()
        assert room.evaluate("(one) => one.scrollWidth - one.clientWidth") == 0
        assert view.page.locator(".parts tbody tr:first-child a").is_visible()
        assert view.page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("width", [360, 640, 900, 1400])
def test_the_page_itself_never_scrolls_sideways(
    context: BrowserContext, vestibule_file: Path, width: int
) -> None:
    with View.of(context, vestibule_file, "light", width) as view:
        assert view.page.evaluate("document.documentElement.scrollWidth") <= width
        claim = view.page.locator("tr#claim-0")
        display = claim.evaluate("(one) => getComputedStyle(one).display")
        assert display == ("grid" if width <= 720 else "table-row")
        source, parts = (view.page.locator(one).bounding_box() for one in (".source", ".parts"))
        assert source is not None
        assert parts is not None
        assert (source["y"] == parts["y"]) == (width > 1180)


def test_it_prints_light_on_dark_screens_without_what_only_a_screen_can_do(
    context: BrowserContext, vestibule_file: Path
) -> None:
    colour = "(one) => getComputedStyle(one).color"
    with View.of(context, vestibule_file, "dark") as view:
        assert view.page.locator("h1").evaluate(colour) == "rgb(240, 238, 228)"
        view.page.emulate_media(media="print")
        assert view.page.locator("h1").evaluate(colour) == "rgb(34, 40, 43)"
        assert not view.page.get_by_role("button").first.is_visible()
        assert view.text("time") == "0.2 s"
        assert view.page.pdf(prefer_css_page_size=True).startswith(b"%PDF")


def test_names_and_texts_are_never_taken_for_html(
    context: BrowserContext, hostile_file: Path
) -> None:
    with View.of(context, hostile_file) as view:
        assert view.page.title().startswith("traps: ")
        assert view.page.locator("script").count() == 2
        assert view.page.locator("img").count() == 0
        assert "<script>document.title" in view.page.locator("#line-1").inner_text()
        assert "</script><img src=x" in view.page.locator("tr#claim-0").inner_text()
        view.press("Home", "End")
        view.is_quiet()


def test_the_policy_stops_a_script_that_is_not_the_page_s_own(view: View) -> None:
    view.page.evaluate(
        """() => {
          const script = document.createElement('script');
          script.textContent = 'window.taken = 1';
          document.body.append(script);
        }"""
    )
    assert view.page.evaluate("window.taken") is None
    (complaint,) = view.complaints
    assert "Content Security Policy" in complaint
    view.complaints.clear()
