"""A run that was asked for, as it is printed."""

from tests.report.make import paper, system, trace
from verifier.report.simulation import simulation, write_simulation

WHERE = system(
    "design still {\n  tick 100 ms\n  bolt : lever\n  bulb : lamp\n  mains : supply(1)\n}\n"
)


def written(*steps: tuple[int, dict[str, int]]) -> list[str]:
    sheet, stream = paper(60)
    write_simulation(sheet, WHERE, simulation(WHERE, trace(WHERE, *steps), onward=True))
    return stream.getvalue().splitlines()


def test_where_nothing_changes_nothing_is_drawn() -> None:
    assert written((3, {})) == [
        "still  garden.latch, tick 0.1 s",
        "",
        "Nothing changes, from the start on.",
    ]


def test_what_goes_on_is_not_said_to_rest() -> None:
    text = "design wink {\n  wink : flasher(lit: 1 s, dark: 2 s)\n  mains : supply(2)\n"
    where = system(f"{text}  mains -> wink\n}}\n")
    sheet, stream = paper(60)
    write_simulation(sheet, where, simulation(where, trace(where, (3, {})), onward=True))
    assert "Then all is at rest." not in stream.getvalue()
    assert "on all of it comes again every" in stream.getvalue()


def test_a_run_ends_with_what_comes_after_and_its_events() -> None:
    lines = written((3, {}), (1, {"bolt.hand": 1}))
    rest = lines.index("Then all is at rest.")
    assert lines[rest + 1 :] == ["", "  0.3 s ▸ someone moves bolt", "  0.4 s   bolt goes live"]
    assert any(line.startswith("bolt") for line in lines[:rest])
