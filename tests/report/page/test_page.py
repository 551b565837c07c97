"""The page as a file: what stands on it, what is escaped, and what may run."""

import json
import re
from base64 import b64encode
from hashlib import sha256
from html.parser import HTMLParser

import pytest

from tests.browser.pages import WHERE, hostile, vestibule
from tests.report.make import answer, system, systems, trace
from verifier.design.bounds import Measure
from verifier.report.events import Kind
from verifier.report.page.build import page_of
from verifier.report.page.write import data_of, text_of
from verifier.verdict.answer import Margin, Outcome, Reach, Verdict
from verifier.verdict.trace import Lasso


class Reader(HTMLParser):
    """Notes elements, ids, links, and what stands in style and script."""

    def __init__(self, text: str) -> None:
        """Read a page."""
        super().__init__()
        self.tags: list[str] = []
        self.given: list[tuple[str, str, str]] = []
        self.raw: dict[str, list[str]] = {"style": [], "script": []}
        self.words = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.given.extend((tag, name, value or "") for name, value in attrs)

    def handle_data(self, data: str) -> None:
        if self.cdata_elem in self.raw:
            self.raw[self.cdata_elem or ""].append(data)
        else:
            self.words += data

    def all(self, attribute: str) -> list[str]:
        return [value for _, name, value in self.given if name == attribute]


PAGE = vestibule()
READ = Reader(text_of(PAGE))


def test_the_head_counts_and_says_why() -> None:
    assert PAGE.facts == "garden.latch · tick 0.1 s · 8 parts, 11 wires"
    assert PAGE.tally == "1 of 5 claims fails, 1 unknown"
    assert PAGE.why == "apart fails at 0.2 s: outer is ajar and inner is ajar."


def test_claims_tell_how_sure_and_where_they_stand() -> None:
    found = [(one.latch, one.name, one.line, one.tale) for one in PAGE.claims]
    assert found == [
        ("fails", "apart", 16, 0),
        ("holds", "rests", 17, None),
        ("holds", "ways", 18, 1),
        ("unknown", "calm", 19, None),
        ("until", "fed", 0, None),
    ]


def test_the_first_tale_is_of_the_claim_that_fails() -> None:
    first, second = PAGE.tales
    assert (first.title, first.stop, first.broken) == ("How apart comes to be broken", 2, True)
    assert (second.title, second.stop, second.broken) == ("How ways is reached", 22, False)
    assert first.told[-1].kind is Kind.BREAK
    assert first.told[-1].line == 16
    assert [one.mark for one in first.told] == ["1", "2", "3", "4", "5", "×"]
    assert first.told[0].on == ("wiring-part-ask_out", "wiring-part-ask_in")


def test_every_moment_has_its_reasons() -> None:
    said = dict(zip(PAGE.tales[0].ticks, PAGE.tales[0].said, strict=True))
    assert [(one.words, one.reasons) for one in said[2]] == [
        ("outer begins to open", "by open_out"),
        ("inner begins to open", "by open_in"),
        ("outer is ajar and inner is ajar", ""),
    ]
    after = [(one.words, one.reasons) for one in said[62]]  # past the break, where no story goes
    assert after[0] == ("outer begins to shut", "as open_out gives nothing")


def test_things_and_courses_go_together() -> None:
    for tale in PAGE.tales:
        assert len(tale.courses) == len(PAGE.things)
        assert all(course[0][0] == 0 for course in tale.courses)
    assert {id_ for ids in PAGE.things for id_ in ids} <= set(READ.all("id"))


def test_ids_are_given_once_and_links_lead_somewhere() -> None:
    ids = READ.all("id")
    assert len(ids) == len(set(ids))
    links = [href for href in READ.all("href") if href]
    assert links
    assert all(href.startswith("#") and href[1:] in ids for href in links)
    assert {f"line-{number}" for number in range(1, len(PAGE.source) + 1)} <= set(ids)


def test_nothing_is_fetched_and_only_the_page_s_own_script_runs() -> None:
    assert not {"img", "link", "iframe", "object", "base", "form"} & set(READ.tags)
    assert not READ.all("src")
    assert not READ.all("style")
    assert not [name for _, name, _ in READ.given if name.startswith("on")]
    policy = next(one for one in READ.all("content") if "default-src" in one)
    assert policy.startswith("default-src 'none';")
    (style,) = READ.raw["style"]
    _, script = READ.raw["script"]
    for text in (style, script):
        assert b64encode(sha256(text.encode()).digest()).decode() in policy
    assert "unsafe" not in policy
    assert not re.search(r"\b(fetch|XMLHttpRequest|import|eval|innerHTML)\b", script)


def test_hostile_names_stay_words() -> None:
    text = text_of(hostile())
    found = Reader(text)
    assert found.tags.count("script") == 2
    assert not {"img", "b"} & set(found.tags)
    assert len(found.raw["script"]) == 2
    assert "<script>document.title = 'taken'</script> -->" in found.words
    assert "</script><img src=x onerror=alert(2)> &amp; \\u0026 <!-- ]]>" in found.words
    data = json.loads(found.raw["script"][0])
    assert data["tales"][0]["stop"] == 0


def test_data_holds_nothing_that_a_script_element_could_end_at() -> None:
    page = hostile()
    said = page.tales[0].said
    object.__setattr__(said[0][0], "words", "</script><!-- &lt; \u2028")
    text = data_of(page)
    assert not set("<>&\u2028") & set(text)
    assert "</script><!-- &lt;" in json.loads(text)["words"][1]


def test_the_data_tells_each_look_once() -> None:
    data = json.loads(data_of(PAGE))
    looks = [tuple(one) for one in data["looks"]]
    assert len(looks) == len(set(looks))
    assert ["opening runs", "opening, {} to go", 20, 20, 1] in data["looks"]
    for tale in data["tales"]:
        assert len(tale["ticks"]) == len(tale["said"])
        assert tale["ends"][-1] == tale["length"]
        for course in (*tale["courses"], *tale["rows"]):
            assert course[::2] == sorted(set(course[::2]))
            assert all(number < len(looks) for number in course[1::2])


def test_where_all_hold_the_tightest_is_told_and_the_rest_is_drawn() -> None:
    def holds(name: str, value: int, allowed: int) -> Outcome:
        margin = Margin(Measure.LONGEST, value, allowed, exact=True)
        return Outcome(Verdict.HOLDS, Reach.FOREVER, engine=name, margins=(margin,))

    page = page_of(
        WHERE,
        [
            answer(WHERE, "rests", holds("a", 30, 60)),
            answer(WHERE, "calm", holds("b", 59, 60)),
        ],
    )
    assert page.tally == "all 2 claims hold"
    assert page.why == "Nearest to its limit is calm: the longest lasts 5.9 s (6 s allowed)."
    (tale,) = page.tales
    assert (tale.title, tale.stop, tale.told) == ("What vestibule does if nobody acts", None, ())
    assert "#story" not in Reader(text_of(page)).all("href")


def test_a_run_that_waits_for_ever_says_so() -> None:
    rest = trace(WHERE, (2, {}))
    endless = Outcome(Verdict.FAILS, lasso=Lasso(rest, 1), engine="every state")
    page = page_of(WHERE, [answer(WHERE, "calm", endless)])
    (tale,) = page.tales
    assert tale.title == "How calm waits for ever"
    assert page.why == "calm waits for ever: outer is shut."
    assert tale.again == "From 0.1 s on nothing changes any more."


def test_where_a_longer_run_is_told_the_head_and_the_statement_say_so() -> None:
    text = "  tick 100 ms\n  a : button\n  b : button\n  claim c: while b: never a\n"
    where = system(f"design yard {{\n{text}}}\n")
    exact = trace(where, (1, {"a.hand": 1, "b.hand": 1}))
    page = page_of(where, [answer(where, "c", Outcome(Verdict.FAILS, trace=exact))])
    assert page.claims[0].verdict == "fails at the start"
    assert page.why == "c fails, in the run told below at 0.3 s: a is live."
    (tale,) = page.tales
    assert tale.statement.startswith("A run that is exact to the tick fails at 0.0 s already.")


def test_without_claims_the_page_shows_what_the_design_does() -> None:
    where = system(
        "design lone { wink : flasher(lit: 1 s, dark: 2 s)  mains : supply(2)  mains -> wink }"
    )
    page = page_of(where, [])
    assert page.tally == "no claims"
    assert page.why.startswith("Nothing is claimed")
    assert page.claims == ()
    text = text_of(page)
    assert 'id="claim-0"' not in text
    assert "lone: <span>no claims" in text


@pytest.mark.parametrize("name", ["a\u202eb.latch", "a\x07b.latch", "<b>.latch"])
def test_letters_of_a_file_s_name_that_would_not_show_are_shown(name: str) -> None:
    (where,) = systems("design odd { bolt : lever  claim c: never bolt }", name)
    run = trace(where, (1, {"bolt.hand": 1}))
    page = page_of(where, [answer(where, "c", Outcome(Verdict.FAILS, trace=run))])
    assert name not in text_of(page)
