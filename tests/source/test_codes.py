"""Pages of codes: found, read and split into examples."""

from verifier.source.codes import MAIN, codes, page


def test_codes_are_the_names_of_the_pages() -> None:
    assert "two-wires" in codes()
    assert list(codes()) == sorted(set(codes()))


def test_a_page_is_read_whole() -> None:
    found = page("two-wires")
    assert found
    assert found.headline == "a second wire into one input"
    assert "`busbar`" in found.text
    ((name, broken),) = found.broken.files
    assert name == MAIN
    assert broken.startswith(b"design hedge_gate {\n")
    assert broken.endswith(b"}\n")
    assert found.mended != found.broken


def test_a_word_that_is_no_code_has_no_page() -> None:
    assert page("no-such-code") is None
    assert page("../text") is None
