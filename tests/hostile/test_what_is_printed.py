"""Names, texts and file names that would be orders if they were printed as they are.

Control sequences are those of ECMA-48; that OSC 8 makes links and OSC 52 fills the clipboard is how
terminals in use read them (xterm's ctlseqs). `[bold]` is the markup of the library that prints.
"""

import json
import os
import pty
import re
import select
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from pathlib import Path

import pytest
import vcdvcd

from tests.cli.call import call
from tests.hostile.fence import ROOT
from tests.hostile.guard import steers

TEXTS = (
    "</title><script>alert(1)</script> [bold]x[/bold] [link=http://x]y[/link]",
    "</script><img src=x onerror=alert(2)> &amp; \\\\u0026 <!-- ]]> 'x' ${1} {{7*7}} {% x %}",
    "$end $enddefinitions $end #0 ]]><![CDATA[ <svg onload=alert(3)> --> ?>",
)
DESIGN = f"""design traps "{TEXTS[0]}" {{
  rooms x, y
  passage x <-> y
  walker w starts in x
  bolt : lever
  keep stood: one of (low, high)
  stood becomes high when bolt
  claim open "{TEXTS[1]}": never bolt
  claim rests "{TEXTS[2]}": possible stood is high
}}
"""
NAMES = (
    "\x1b]52;c;aGk=\x07\x1b[2J\x1b]8;;x:x\x07.latch",
    "a\rb\x08\x08\x9b31m\x07.latch",
    "\u202ehctal.latch",
    "[bold]x[link=x]y[red].latch",
    "<img src=x onerror=alert(9)>.latch",
    "line\nbreak.latch",
)
CALLS: Sequence[Sequence[str]] = (
    ("check", "--effort", "0.2"),
    ("check", "--effort", "0.2", "--format", "json"),
    ("run", "--press", "bolt at 1 s"),
    ("run", "--press", "bolt at 1 s", "--format", "json"),
    ("route", "GOAL"),
    ("rhythm",),
    ("tidy", "--check"),
    ("draw",),
    ("parts", "--from"),
    ("recheck",),
    ("page", "-o", "OUT"),
    ("check", "--svg", "OUT", "--effort", "0.2"),
    ("check", "--waveform", "OUT", "--effort", "0.2"),
)


@pytest.mark.parametrize("name", NAMES, ids=ascii)
def test_no_file_name_steers_a_terminal(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    for text in (DESIGN, "design {"):
        path.write_text(text, encoding="utf-8")
        for first, *more in CALLS:
            words = [str(tmp_path / name) if one == "OUT" else one for one in more]
            goal = ["stood is high"] if "GOAL" in words else []
            words = [one for one in words if one != "GOAL"]
            ended = call(first, *words, str(path), *goal)
            assert ended.exit_code in (0, 1, 2), ended.output
            assert not steers(ended.output), (first, ended.output)
            path.write_text(text, encoding="utf-8")


def drawn(folder: Path, option: str) -> str:
    path = folder / "garden.latch"
    path.write_text(DESIGN, encoding="utf-8")
    call("check", str(path), option, str(folder / "out"))
    return (folder / "out").read_text(encoding="utf-8")


def test_a_drawing_is_well_formed_and_runs_nothing(tmp_path: Path) -> None:
    path = tmp_path / "garden.latch"
    path.write_text(DESIGN, encoding="utf-8")
    for text in (drawn(tmp_path, "--svg"), call("draw", str(path)).output):
        elements = list(ET.fromstring(text).iter())  # noqa: S314 - what Latchwork itself has made
        names = {one.tag.rpartition("}")[2] for one in elements}
        assert not names & {"script", "img", "foreignObject", "a", "image", "use", "iframe"}
        attributes = {key for one in elements for key in one.attrib}
        assert not {one for one in attributes if one.lower().startswith("on") or "href" in one}


def test_a_waveform_has_the_signals_of_the_design_and_no_others(tmp_path: Path) -> None:
    text = drawn(tmp_path, "--waveform")
    assert text.count("$enddefinitions") == 1
    signals = vcdvcd.VCDVCD(str(tmp_path / "out")).signals
    assert "traps.stood" in {one.split("[")[0] for one in signals}


def test_a_record_names_the_file_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / NAMES[0]
    path.write_text(DESIGN, encoding="utf-8")
    text = call("check", str(path), "--format", "json").output
    assert not steers(text)
    assert json.loads(text)["designs"][0]["file"] == str(path)


OURS = re.compile(r"\x1b\[(?:[0-9;]*m|\?25[lh]|2K|1A)|\r")
"""What may steer a terminal that is one: colours, the cursor hidden, one line drawn anew."""


def test_a_terminal_gets_our_own_orders_only(tmp_path: Path) -> None:
    path = tmp_path / NAMES[0]
    path.write_text(DESIGN, encoding="utf-8")
    leader, follower = pty.openpty()
    begun = subprocess.Popen(
        [sys.executable, "-c", "from verifier.cli.main import main; main()", "check", str(path)],
        stdin=follower,
        stdout=follower,
        stderr=follower,
        env={**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm-256color"},
    )
    os.close(follower)
    said = b""
    while select.select([leader], [], [], 60)[0]:
        try:
            piece = os.read(leader, 65536)
        except OSError:  # Linux tells so that nobody is left at the other end
            break
        if not piece:
            break
        said += piece
    os.close(leader)
    assert begun.wait(timeout=60) == 1
    text = said.decode("utf-8")
    assert "\x1b[" in text
    assert not steers(OURS.sub("", text))
