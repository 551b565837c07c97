"""Each standard kind says in words what it does, when it answers, and is tried on the bench."""

from pathlib import Path

from verifier.design import files
from verifier.syntax import tree

KINDS = {block.name.text: block for block in files.standard().file.blocks}
WORDS = """
supply tap divider busbar relay and_gate or_gate xor_gate not_gate inhibit pulse on_delay off_delay
flasher latch toggle counter edge button lever plate daylight lamp bell door load
"""
NEEDED = set(WORDS.split())


def keeps_state(block: tree.Block) -> bool:
    return any(isinstance(one, tree.Keep) for one in block.body)


def test_all_kinds_are_there() -> None:
    assert set(KINDS) == NEEDED


def test_each_says_when_it_answers() -> None:
    for name, block in KINDS.items():
        text = block.text
        assert text, name
        if name != "daylight":  # nothing is told to it
            assert text.endswith(("; at once", "; at the next tick")), name


def test_what_keeps_no_state_answers_at_once() -> None:
    for name, block in KINDS.items():
        if not keeps_state(block):
            assert block.text, name
            assert block.text.endswith("; at once"), name


def test_each_is_tried() -> None:
    here = Path(__file__).parent
    tried = "".join(
        path.read_text(encoding="utf-8")
        for path in here.glob("test_*.py")
        if path != Path(__file__)
    )
    assert [name for name in KINDS if name not in tried] == []
