"""`check --certificates` and `recheck`: written, accepted, refused, stale, broken."""

import json
from pathlib import Path

import pytest

from tests.cli.call import GOOD, HOLDS, call, write
from verifier.logic import second

STEADY = """\
design post {
  setting burns = 2 s
  hand : button(holds: 300 ms)
  glow : off_delay(burns)
  lamp : lamp
  mains : supply(2)
  mains -> glow -> lamp
  hand -> glow.start
  claim stays: lamp lasts at least 1 s
}
"""


def certified(folder: Path, text: str = GOOD, *more: str) -> list[str]:
    """Check a design and return the paths of its certificates."""
    ended = call("check", write(folder, text), "--certificates", str(folder / "proofs"), *more)
    assert ended.exit_code in (0, 1), ended.output
    return sorted(map(str, (folder / "proofs").iterdir()))


def change(path: str, old: str, new: str) -> None:
    text = Path(path).read_text(encoding="utf-8")
    assert old in text
    Path(path).write_text(text.replace(old, new, 1), encoding="utf-8")


def test_each_answer_has_one_and_all_are_accepted(tmp_path: Path) -> None:
    files = certified(tmp_path)
    assert [Path(file).name for file in files] == [
        "lamp_post.again.certificate",
        "lamp_post.fed.certificate",
        "lamp_post.stays.certificate",
    ]
    ended = call("recheck", *files)
    assert ended.exit_code == 0
    who = "z3 and cvc5" if second.installed() else "z3"
    assert f"accepted by {who}: `stays` holds" in ended.output
    assert "accepted by the simulator: `again` fails" in ended.output


def test_the_record_says_where_they_are(tmp_path: Path) -> None:
    folder = str(tmp_path / "proofs")
    path = write(tmp_path, HOLDS)
    ended = call("check", path, "--certificates", folder, "--format", "json")
    (claim, *_) = json.loads(ended.output)["designs"][0]["claims"]
    assert Path(claim["certificate"]).is_file()
    assert claim["judged_by"]
    (claim, *_) = json.loads(call("check", path, "--format", "json").output)["designs"][0]["claims"]
    assert claim["certificate"] is None


def test_a_slip_is_refused(tmp_path: Path) -> None:
    (*_, stays) = certified(tmp_path)
    change(stays, "root ", "root 1  # ")
    ended = call("recheck", stays)
    assert ended.exit_code == 1
    assert "refused: `stays` is not shown to hold" in ended.output


@pytest.mark.parametrize("claim", ["again", "stays"])
def test_another_verdict_is_refused(tmp_path: Path, claim: str) -> None:
    path = next(one for one in certified(tmp_path) if claim in one)
    verdict = {"again": ("fails", "holds"), "stays": ("holds", "fails")}[claim]
    change(path, *(f"verdict {word}" for word in verdict))
    ended = call("recheck", path)
    assert ended.exit_code == 1
    assert "not the verdict that stands in it" in ended.output


def test_a_changed_design_is_told(tmp_path: Path) -> None:
    files = certified(tmp_path, HOLDS)
    write(tmp_path, HOLDS.replace("300 ms", "400 ms"))
    ended = call("recheck", *files)
    assert ended.exit_code == 2
    assert "stale-certificate" in ended.output
    assert "check --certificates" in ended.output
    old = write(tmp_path, f"# a remark\n{HOLDS}", "old.latch")
    assert call("recheck", *files, "--design", old).exit_code == 0


def test_settings_are_kept(tmp_path: Path) -> None:
    files = certified(tmp_path, STEADY, "--set", "burns=500 ms")
    assert 'set "burns" "500 ms"' in Path(files[-1]).read_text(encoding="utf-8")
    # Whoever reads it sees that this says nothing of the design as it stands.
    told = call("recheck", files[-1]).output
    assert f"`stays` fails (post in {tmp_path / 'garden.latch'}, with burns = 500 ms)" in told
    ended = call("recheck", files[-1])
    assert ended.exit_code == 0
    assert "`stays` fails" in ended.output
    (plain,) = (one for one in certified(tmp_path, STEADY) if ".stays." in one)
    assert "with burns" not in call("recheck", plain).output


def test_without_time_nothing_is_said(tmp_path: Path) -> None:
    (*_, stays) = certified(tmp_path)
    ended = call("recheck", stays, "--within", "0.000001")
    assert ended.exit_code == 3
    assert "not judged: `stays`" in ended.output


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("latchwork certificate 1", "latchwork certificate 2", "no-certificate"),
        ("end\n", "", "broken-certificate"),
        ("tick ", "tick -", "broken-certificate"),
        ("verdict holds", "verdict perhaps", "broken-certificate"),
        ("node 2 ", "node 3 ", "broken-certificate"),
        ('file "', 'file "/', "broken-certificate"),
        ('design "', 'design "x', "stale-certificate"),
        ('file "', 'file "x', "unreadable-file"),
    ],
)
def test_what_cannot_be_judged_is_told(tmp_path: Path, old: str, new: str, code: str) -> None:
    (*_, stays) = certified(tmp_path)
    change(stays, old, new)
    ended = call("recheck", stays)
    assert ended.exit_code == 2
    assert code in ended.output
    assert "Traceback" not in ended.output


def test_no_file_and_no_text_are_told(tmp_path: Path) -> None:
    odd = tmp_path / "odd.certificate"
    odd.write_bytes(b"\xff\xfe\x00")
    for path in (odd, tmp_path, tmp_path / "none"):
        assert call("recheck", str(path)).exit_code == 2


def test_what_is_not_ours_is_left_alone(tmp_path: Path) -> None:
    folder = tmp_path / "proofs"
    folder.mkdir()
    other = folder / "lamp_post.stays.certificate"
    other.write_text("a letter", encoding="utf-8")
    ended = call("check", write(tmp_path, GOOD), "--certificates", str(folder))
    assert ended.exit_code == 2
    assert other.read_text(encoding="utf-8") == "a letter"
    assert list(folder.iterdir()) == [other]
