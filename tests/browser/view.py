"""A page in the browser, as a person has it before them."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Literal

from playwright.sync_api import BrowserContext, Locator, Page

Scheme = Literal["light", "dark"]


class View:
    """One open page; it notes what the browser complains of and what is asked for."""

    def __init__(self, page: Page, path: Path) -> None:
        """Open the page of a file."""
        self.page, self.path = page, path
        self.complaints: list[str] = []
        self.asked: list[str] = []
        page.on("console", lambda said: self.complaints.append(said.text))
        page.on("pageerror", lambda wrong: self.complaints.append(str(wrong)))
        page.on("dialog", lambda box: self.complaints.append(box.message))
        page.on("request", lambda one: self.asked.append(one.url))
        page.goto(path.as_uri())

    @classmethod
    @contextmanager
    def of(
        cls, context: BrowserContext, path: Path, scheme: Scheme = "light", width: int = 1400
    ) -> Iterator["View"]:
        page = context.new_page()
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme=scheme)
        try:
            yield cls(page, path)
        finally:
            page.close()

    def is_quiet(self) -> None:
        """No error, no warning, and nothing fetched but the page."""
        assert self.complaints == []
        assert {url.partition("#")[0] for url in self.asked} == {self.path.as_uri()}

    # --- the cursor ---

    @property
    def slider(self) -> Locator:
        return self.page.get_by_role("slider")

    def press(self, *keys: str) -> None:
        self.slider.focus()
        for key in keys:
            self.page.keyboard.press(key)

    @property
    def tick(self) -> int:
        return int(self.slider.get_attribute("aria-valuenow") or "")

    @property
    def last(self) -> int:
        return int(self.slider.get_attribute("aria-valuemax") or "")

    def text(self, id_: str) -> str:
        return self.page.locator(f"#{id_}").inner_text()

    # --- what is lit ---

    def wires(self) -> list[tuple[str, str, bool, str]]:
        """Return of each wire its net, what it leads to, whether it is lit, and its units."""
        found = self.page.evaluate(
            """() => [...document.querySelectorAll('g.wire:not(.key)')].map((wire) => [
              wire.dataset.net,
              wire.querySelector('title').textContent,
              wire.classList.contains('live'),
              wire.querySelector('.amount')?.textContent ?? '',
            ])"""
        )
        return [(str(net), str(title), bool(lit), str(units)) for net, title, lit, units in found]

    def parts(self) -> dict[str, tuple[set[str], str]]:
        """Return of each part in the drawing its classes and the words below it."""
        found = self.page.evaluate(
            """() => [...document.querySelectorAll('g.part')].map((part) => [
              part.dataset.part, [...part.classList], part.querySelector('.state').textContent,
            ])"""
        )
        return {str(name): (set(classes), str(words)) for name, classes, words in found}
