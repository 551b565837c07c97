"""Pages in a real browser: one for the session, skipped with a reason where there is none.

Debian's chromium is driven by PyPI's playwright, which here downloads nothing.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, sync_playwright

from tests.browser.browsing import CHROMIUM, REQUIRED
from tests.browser.pages import hostile, large, slow, vestibule
from tests.browser.view import View
from verifier.report.page.model import Page
from verifier.report.page.write import text_of


@pytest.fixture(scope="session")
def context() -> Iterator[BrowserContext]:
    if not CHROMIUM and REQUIRED:
        pytest.fail("there is no chromium, and LATCHWORK_BROWSER says that there must be")
    if not CHROMIUM:
        pytest.skip("there is no chromium here (Debian's package, or name one: LATCHWORK_CHROMIUM)")
    with sync_playwright() as player:
        found = player.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield found.new_context(reduced_motion="reduce")
        found.close()


def _written(page: Page, folder: Path) -> Path:
    path = folder / f"{page.name}.html"
    path.write_text(text_of(page), encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def vestibule_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return _written(vestibule(), tmp_path_factory.mktemp("page"))


@pytest.fixture(scope="session")
def hostile_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return _written(hostile(), tmp_path_factory.mktemp("page"))


@pytest.fixture(scope="session")
def large_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return _written(large(), tmp_path_factory.mktemp("page"))


@pytest.fixture(scope="session")
def slow_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return _written(slow(), tmp_path_factory.mktemp("page"))


@pytest.fixture
def view(context: BrowserContext, vestibule_file: Path) -> Iterator[View]:
    """The vestibule's page; at the end nothing may have been complained of or asked for."""
    with View.of(context, vestibule_file) as found:
        yield found
        found.is_quiet()
