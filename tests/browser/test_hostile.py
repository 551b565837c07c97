"""A page about a design whose names and texts would be orders, as the command writes it."""

from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext

from tests.browser.view import View
from tests.cli.call import call
from tests.hostile.test_what_is_printed import DESIGN, NAMES, TEXTS

HANDLERS = """() => [...document.querySelectorAll('*')].flatMap(one => [...one.attributes])
  .filter(one => one.name.startsWith('on')).length"""


@pytest.mark.parametrize("name", [NAMES[0], NAMES[2], NAMES[4]], ids=ascii)
def test_no_script_but_the_page_s_own_runs(
    name: str, context: BrowserContext, tmp_path: Path
) -> None:
    path = tmp_path / name
    path.write_text(f"# {TEXTS[0]} {TEXTS[1]}\n{DESIGN}", encoding="utf-8")
    out = tmp_path / "page.html"
    assert call("page", str(path), "-o", str(out)).exit_code == 0
    with View.of(context, out) as view:
        assert view.page.locator("script").count() == 2
        for one in ("img", "iframe", "object", "embed", "base", "form", "a[href^='http']"):
            assert view.page.locator(one).count() == 0
        assert view.page.evaluate(HANDLERS) == 0
        assert "<script>alert(1)</script> [bold]x[/bold]" in view.page.locator("body").inner_text()
        assert "{{7*7}}" in view.page.locator("tr#claim-0").inner_text()
        assert "49" not in view.page.locator("tr#claim-0").inner_text()
        view.press("Home", "ArrowRight", "End")
        view.is_quiet()
