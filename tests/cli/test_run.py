"""`latchwork run`: presses, walkers, and how far a run goes."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.cli.call import GOOD, call, write
from verifier.report import vain

MAZE = """\
design maze {
  tick 100 ms
  rooms lawn, hall
  passage lawn <-> hall when gate.open takes 1 s
  walker guest starts in lawn
  ask   : button
  bolt  : lever
  free mode: one of (calm, loud)
  gate  : door(opens: 1 s, shuts: 1 s)
  mains : supply(1)
  mains -> gate
  gate.told when ask or mode is loud or bolt
}
"""


def record(path: str, *arguments: str) -> dict[str, Any]:
    found = call("run", path, "--format", "json", *arguments)
    assert found.exit_code == 0, found.stderr
    read: dict[str, Any] = json.loads(found.stdout)
    return read


def events(path: str, *arguments: str) -> list[tuple[int, str]]:
    return [(one["at_ms"], one["words"]) for one in record(path, *arguments)["events"]]


def test_without_presses_nothing_happens(tmp_path: Path) -> None:
    found = call("run", write(tmp_path, GOOD))
    assert found.exit_code == 0
    assert "Nothing changes, from the start on." in found.stdout


def test_a_press_is_followed_until_all_rests(tmp_path: Path) -> None:
    path = write(tmp_path, GOOD)
    found = call("run", path, "--press", "hand at 1 s")
    assert "Then all is at rest." in found.stdout
    assert events(path, "--press", "hand at 1 s") == [
        (1000, "someone presses hand"),
        (1000, "glow gives 1 unit"),
        (1000, "lamp goes live"),
        (1400, "glow starts (2 s)"),
        (3300, "glow gives nothing"),
        (3300, "lamp goes dead"),
        (3400, "glow has run out"),
    ]


def test_how_long_is_told(tmp_path: Path) -> None:
    path = write(tmp_path, GOOD)
    # Ticks 0 to H, H included.
    assert record(path, "--for", "5 s", "--press", "hand at 1 s")["until_ms"] == 5100
    assert record(path, "--for", "2 s", "--press", "hand at 1 s")["until_ms"] == 2100


def test_presses_from_a_file(tmp_path: Path) -> None:
    path = write(tmp_path, GOOD)
    listed = tmp_path / "presses.txt"
    listed.write_text("# twice\nhand at 1 s\n\nhand at 9 s for 1 s  # long\n", encoding="utf-8")
    found = events(path, "--presses", str(listed))
    assert [one for one in found if "presses" in one[1]] == [
        (1000, "someone presses hand"),
        (9000, "someone presses hand"),
    ]


def test_walkers_choices_and_levers(tmp_path: Path) -> None:
    path = write(tmp_path, MAZE)
    found = events(path, "--press", "mode to loud at 1 s", "--press", "guest to hall at 3 s")
    assert (1000, "someone sets mode to loud") in found
    assert (3000, "guest sets out from lawn to hall") in found
    assert (4000, "guest is in hall") in found
    moved = events(path, "--press", "bolt at 0 s", "--press", "bolt at 2 s")
    assert (0, "someone moves bolt") in moved
    assert (100, "bolt goes live") in moved
    assert (2100, "bolt goes dead") in moved


def test_what_is_set_stays_until_it_is_set_again(tmp_path: Path) -> None:
    path = write(tmp_path, MAZE)
    found = events(path, "--press", "mode to loud at 1 s", "--press", "mode to calm at 5 s")
    assert (2100, "gate is open") in found
    assert (6100, "gate is shut") in found


def test_what_is_set_stays_to_the_end_of_what_is_shown(tmp_path: Path) -> None:
    path = write(tmp_path, MAZE)
    found = events(path, "--press", "mode to loud at 1 s", "--press", "ask at 2 s")
    assert [one for one in found if "mode" in one[1] or "gate" in one[1]] == [
        (1000, "someone sets mode to loud"),
        (1000, "mode stands at loud"),
        (1100, "gate begins to open"),
        (2100, "gate is open"),
    ]
    for_a_while = events(path, "--press", "mode to loud at 1 s for 2 s")
    assert (3000, "mode is let go") in for_a_while


CELLS = """\
kind hatch(room: room) "opens its lid to whoever touches it, from wherever" {
  free hand: signal
  keep lid: flag
  lid becomes yes when hand
}
design cells {
  tick 100 ms
  rooms hall, cell
  passage hall <-> cell takes 1 s
  walker guest starts in hall
  calm  : button(room: hall)
  bolt  : lever(room: cell)
  trap  : hatch(room: cell)
  keep quiet: flag
  quiet becomes yes when calm or bolt
}
"""


def test_a_press_from_the_wrong_room_is_in_vain(tmp_path: Path) -> None:
    path = write(tmp_path, CELLS)
    found = events(path, "--press", "guest to cell at 0 s", "--press", "calm at 1 s")
    assert (1000, "someone presses calm in vain: nobody is in hall") in found
    between = events(path, "--press", "guest to cell at 0 s", "--press", "calm at 500 ms")
    assert (500, "someone presses calm in vain: nobody is in hall") in between
    away = call("run", path, "--press", "bolt at 1 s")
    assert "Nothing changes" in away.stdout
    assert "someone moves bolt in vain: nobody is in cell" in away.stdout


@pytest.mark.parametrize(
    "presses",
    [
        ["calm at 0 s"],
        ["guest to cell at 0 s", "calm at 0 s"],
        ["guest to cell at 0 s", "bolt at 500 ms for 1 s"],  # somebody comes while it lasts
        ["trap at 1 s"],  # a room by name, and no say in it
        ["trap at 1 s", "guest to cell at 3 s"],
    ],
)
def test_what_does_something_is_not_in_vain(presses: list[str], tmp_path: Path) -> None:
    given = [word for press in presses for word in ("--press", press)]
    assert not [words for _, words in events(write(tmp_path, CELLS), *given) if "in vain" in words]


def test_presses_are_looked_at_one_by_one_as_far_as_that_is_cheap(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each look plays the whole run again, so that many presses would take for ever."""
    path = write(tmp_path, CELLS)
    given = ("--press", "trap at 1 s", "--press", "bolt at 2 s", "--press", "bolt at 4 s")

    def in_vain() -> list[int]:
        return [at for at, words in events(path, *given) if "in vain" in words]

    assert in_vain() == [2000, 4000]
    for played, told in ((6, [2000, 4000]), (3, [2000]), (2, [])):
        monkeypatch.setattr(vain, "MOST_PLAYED", played)
        assert in_vain() == told


def test_a_press_in_vain_is_told_beside_one_that_is_none(tmp_path: Path) -> None:
    given = ("--press", "trap at 1 s", "--press", "bolt at 2 s")
    assert [one for one in events(write(tmp_path, CELLS), *given) if "someone" in one[1]] == [
        (1000, "someone moves trap"),
        (2000, "someone moves bolt in vain: nobody is in cell"),
    ]


@pytest.mark.parametrize(
    ("press", "words"),
    [
        ("aks at 1 s", "did you mean ask?"),
        ("ask", "'ask' is no press; write NAME at TIME for TIME"),
        ("ask at 150 ms", "no whole number of ticks"),
        ("ask at 1.5 s", "1500 ms for 1.5 s"),
        ("ask at 1 s for 0 s", "lasts no time"),
        ("mode at 1 s", "say to which option mode is set, such as 'mode to loud at 1 s'"),
        ("mode to lod at 1 s", "did you mean loud?"),
        ("guest at 1 s", "say where guest goes"),
        ("guest to attic at 1 s", "no room is called 'attic'"),
        ("guest to hall at 0 s", "guest has no open way to hall then"),
        ("guest to hall at 0 s for 2 s", "no 'for'"),
    ],
)
def test_wrong_presses(press: str, words: str, tmp_path: Path) -> None:
    found = call("run", write(tmp_path, MAZE), "--press", press)
    assert (found.exit_code, found.stdout) == (2, "")
    assert words in found.stderr


def test_presses_of_one_thing_may_not_meet(tmp_path: Path) -> None:
    path = write(tmp_path, MAZE)
    found = call("run", path, "--press", "ask at 1 s for 2 s", "--press", "ask at 2 s")
    assert found.exit_code == 2
    assert "two presses of ask.hand meet" in found.stderr


def test_a_wrong_line_in_a_file_is_told_with_its_place(tmp_path: Path) -> None:
    listed = tmp_path / "presses.txt"
    listed.write_text("ask at 1 s\nask whenever\n", encoding="utf-8")
    found = call("run", write(tmp_path, MAZE), "--presses", str(listed))
    assert found.exit_code == 2
    assert f"{listed}:2: 'ask whenever' is no press" in found.stderr
    gone = call("run", write(tmp_path, MAZE), "--presses", str(tmp_path / "gone"))
    assert gone.exit_code == 2
    assert "there is no such file" in gone.stderr


def test_of_several_designs_one_is_named(tmp_path: Path) -> None:
    path = write(tmp_path, GOOD + MAZE)
    assert "say which one with --design: lamp_post, maze" in call("run", path).stderr
    assert call("run", path, "--design", "maze").exit_code == 0
    assert "did you mean maze?" in call("run", path, "--design", "mase").stderr


def test_a_run_without_people_that_comes_again(tmp_path: Path) -> None:
    text = "design d { mains : supply(2) spark : flasher(lit: 2 s, dark: 3 s) mains -> spark }"
    path = write(tmp_path, text)
    assert record(path)["again"] == {"from_ms": 100, "every_ms": 5000}
    assert "all of it comes again every 5 s" in call("run", path).stdout
