"""A page as text: one HTML file with its rules of style, its script and its data inside.

Nothing on it is fetched, and its policy (Content Security Policy level 3, W3C) lets only the style
and the script run whose hashes it names. The template escapes what it is given; only drawings,
which `drawing.svg` has made well-formed, are put in as they are.
"""

import json
from base64 import b64encode
from collections.abc import Iterable
from functools import cache
from hashlib import sha256
from pathlib import Path

from verifier.report.clock import decimals
from verifier.report.drawing import palette, timeline, wiring
from verifier.report.letters import shown
from verifier.report.page.looks import Course, Look
from verifier.report.page.model import Page, Tale

Json = None | bool | int | float | str | list["Json"] | dict[str, "Json"]

_TAB = 4


def text_of(page: Page) -> str:
    """Return a page as a file."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    house = Environment(
        loader=FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    house.filters["shown"] = shown
    house.filters["drawing"] = Markup
    style, script = _style(), _read("page.js")
    return house.get_template("page.html.jinja").render(
        page=page,
        lines=[shown(line.expandtabs(_TAB)) for line in page.source],
        style=Markup(style),  # noqa: S704 - our own
        script=Markup(script),  # noqa: S704 - our own
        data=Markup(data_of(page)),  # noqa: S704 - escaped there
        policy=_policy(style, script),
    )


@cache
def _read(name: str) -> str:
    return (Path(__file__).parent / name).read_text(encoding="utf-8")


def _style() -> str:
    light, dark = palette.properties(palette.LIGHT), palette.properties(palette.DARK)
    colours = (
        f":root {{ {light} }}\n@media screen and (prefers-color-scheme: dark) {{\n"
        f":root {{ {dark} }}\n}}\n"
    )
    return f"{colours}{wiring.STYLE}{timeline.STYLE}{_read('page.css')}"


def _policy(style: str, script: str) -> str:
    def allowed(text: str) -> str:
        return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"

    return (
        f"default-src 'none'; style-src {allowed(style)}; script-src {allowed(script)};"
        " base-uri 'none'; form-action 'none'"
    )


# --- data ---


def data_of(page: Page) -> str:
    """Return what the script needs, as JSON that may stand in a script element."""
    looks: dict[Look, int] = {}
    words: dict[str, int] = {"": 0}
    tales: list[Json] = [_tale(tale, looks, words) for tale in page.tales]
    record: Json = {
        "tick": page.tick_ns,
        "places": decimals(page.tick_ns),
        "things": [list(ids) for ids in page.things],
        "looks": [[one.classes, one.words, one.left, one.full, int(one.falls)] for one in looks],
        "words": list(words),
        "tales": tales,
    }
    text = json.dumps(record, separators=(",", ":"))
    # In a script element `</script` and `<!--` mean something even within a string.
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _tale(tale: Tale, looks: dict[Look, int], words: dict[str, int]) -> Json:
    def numbered(text: str) -> int:
        return words.setdefault(shown(text), len(words))

    said: list[Json] = [
        [
            part
            for one in moment
            for part in (one.kind.value, *map(numbered, (one.words, one.reasons)))
        ]
        for moment in tale.said
    ]
    return {
        "length": tale.length,
        "ticks": list(tale.ticks),
        "said": said,
        "courses": _courses(tale.courses, looks),
        "rows": _courses(tale.rows, looks),
        "ends": [end for end, _ in tale.panels],
        "marks": [one.tick for one in tale.told if one.mark != "×"],
        "stop": tale.stop,
        "broken": tale.broken,
    }


def _courses(courses: Iterable[Course], looks: dict[Look, int]) -> Json:
    return [
        [part for tick, look in course for part in (tick, looks.setdefault(look, len(looks)))]
        for course in courses
    ]
