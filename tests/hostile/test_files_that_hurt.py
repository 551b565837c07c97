"""Files that are none, or lead elsewhere, or change: refused by each command that reads one."""

import os
import threading
from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

from tests.cli.call import GOOD, call
from tests.hostile.fence import Ended, Fence, fenced
from tests.hostile.guard import steers

MEGABYTES = 300
KIND = "kind k { in i: signal }\n"


def put(folder: Path, name: str, data: str | bytes) -> str:
    path = folder / name
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    return str(path)


def refused(found: Mapping[str, Ended], words: Mapping[str, str]) -> dict[str, object]:
    """Return the calls that were not refused with the words due, or took too much."""
    return {
        name: (ended.status, (ended.err or ended.out)[:400], ended.seconds, ended.megabytes)
        for name, ended in found.items()
        if ended.status != 2
        or words[name] not in " ".join(ended.err.split())
        or ended.megabytes > MEGABYTES
        or steers(ended.out + ended.err)
    }


@pytest.fixture
def odd(tmp_path: Path) -> Sequence[str]:
    """Return things that are no files: devices, a pipe that nobody writes to, links in a circle."""
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "one").symlink_to(tmp_path / "other")
    (tmp_path / "other").symlink_to(tmp_path / "one")
    return ["/dev/zero", "/dev/stdin", "/dev/null", "/proc/self/mem", "pipe", "one", ".", "none"]


def test_what_is_no_file_is_not_read(tmp_path: Path, odd: Sequence[str]) -> None:
    put(tmp_path, "good.latch", GOOD)
    calls = {f"check {one}": ["check", one] for one in odd}
    calls |= {f"recheck {one}": ["recheck", one] for one in odd}
    calls |= {f"run {one}": ["run", "good.latch", "--presses", one] for one in odd}
    calls |= {f"tidy {one}": ["tidy", one] for one in odd[:2]}
    words = dict.fromkeys(calls, "can't read")
    # A file of the system that can be opened, and holds no text.
    words |= {f"{name} /proc/self/mem": "" for name in ("check", "recheck", "run")}
    assert not refused(fenced(calls, tmp_path, Fence(patience=20)), words)


@pytest.mark.parametrize(
    ("path", "code"),
    [
        ("/dev/zero", "use-outside"),
        ("/etc/passwd", "use-outside"),
        ("../../etc/passwd", "use-outside"),
        ("link", "use-outside"),
        (".", "use-missing"),
        ("", "use-missing"),
        ("pipe", "use-missing"),
        ("one", "use-missing"),
        ("a" * 5_000, "use-missing"),
        ("a/" * 3_000, "use-missing"),
        ("file:///etc/passwd", "use-missing"),
        ("~root", "use-missing"),
        ("garden.latch", "use-circle"),
        ("round.latch", "use-circle"),
        ("chain0.latch", "too-many"),
        ("wide.latch", "too-many"),
        ("large.latch", "too-large"),
        ("wide16.latch", "not-utf8"),
    ],
)
@pytest.mark.usefixtures("odd")
def test_what_is_used_stays_in_the_folder(path: str, code: str, tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to("/etc/passwd")
    put(tmp_path, "round.latch", f'use "garden.latch"\n{KIND}')
    if code == "too-many":
        for n in range(120):
            put(tmp_path, f"chain{n}.latch", f'use "chain{n + 1}.latch"\nkind k{n} {{ }}')
            put(tmp_path, f"leaf{n}.latch", f"kind l{n} {{ }}")
        put(tmp_path, "chain120.latch", KIND)
        put(tmp_path, "wide.latch", "".join(f'use "leaf{n}.latch"\n' for n in range(120)) + KIND)
    put(tmp_path, "large.latch", b"#" * (2 << 20))
    put(tmp_path, "wide16.latch", KIND.encode("utf-16"))
    ended = call("check", put(tmp_path, "garden.latch", f'use "{path}"\n{GOOD}'))
    assert ended.exit_code == 2, ended.output
    assert f"error {code}" in ended.output


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (GOOD.encode("utf-16"), "not-utf8"),
        (GOOD.encode("utf-32"), "not-utf8"),
        (b"\xff\xfe" + GOOD.encode(), "not-utf8"),
        (b"design a \xc0\xaf { }", "not-utf8"),  # a sign said in more bytes than it needs
        (b"design a \xed\xa0\x80 { }", "not-utf8"),  # half of a pair, which is no letter
        (GOOD.encode() + b"\0", "stray-letter"),
        (GOOD.replace("\n", "\r").encode(), "stray-letter"),
        (b"\0" * 200_000, "stray-letter"),
        (b"\r" * 200_000, "stray-letter"),
        (b"#" * (2 << 20), "too-large"),
        (b"#" * 200_000, "no-design"),
        (b'"' * 200_000, "unreadable"),
        (b"", "no-design"),
    ],
)
def test_what_is_no_text_is_told(data: bytes, code: str, tmp_path: Path) -> None:
    ended = call("check", put(tmp_path, "garden.latch", data))
    assert ended.exit_code == 2
    assert f"error {code}" in ended.output


# Boucher, Anderson, "Trojan Source: Invisible Vulnerabilities", 2021 (CVE-2021-42574): each of
# these can make a text read otherwise than it is; also Unicode TR 36, section 2.5.
@pytest.mark.parametrize(
    "hidden", "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200b\u200f\xad"
)
@pytest.mark.parametrize(
    "text",
    [
        'design a "x{}y" {{ b : button claim c: never b }}',
        "design a {{ # x{}y\n b : button claim c: never b }}",
        "design a {{ b{} : button claim c: never b }}",
        'design a {{ b : button claim c "{}": never b }}',
    ],
)
def test_letters_that_turn_or_hide_are_refused(hidden: str, text: str, tmp_path: Path) -> None:
    path = put(tmp_path, "garden.latch", text.format(hidden))
    for command in (["check"], ["tidy"], ["tidy", "--write"]):
        ended = call(*command, path)
        assert ended.exit_code == 2
        assert "stray-letter" in ended.output
        assert not steers(ended.output)


def test_look_alikes_are_no_names(tmp_path: Path) -> None:
    """Names are ASCII, so that none can pass for another (UTS 39, section 4)."""
    for name in ("\u0430", "a\u0301", "\uff41", "\u03b1", "\u4e00"):  # a Cyrillic a, and so on
        ended = call("check", put(tmp_path, "garden.latch", f"design a {{ {name} : button }}"))
        assert ended.exit_code == 2
        assert "stray-letter" in ended.output


def test_a_file_that_changes_all_the_while_is_read_or_refused(tmp_path: Path) -> None:
    path = tmp_path / "garden.latch"
    stop = threading.Event()

    def change() -> None:
        while not stop.is_set():
            path.write_text(GOOD, encoding="utf-8")
            path.write_bytes(b"\xff" * 3_000_000)
            path.unlink()

    changing = threading.Thread(target=change)
    changing.start()
    try:
        statuses = {call("tidy", str(path)).exit_code for _ in range(60)}
    finally:
        stop.set()
        changing.join()
    assert statuses <= {0, 2}


# --- values on the command line -------------------------------------------------------------------

ENDLESS = "9" * 5_000
VALUES: Mapping[str, tuple[Sequence[str], str]] = {
    "set of digits": (("check", "--set", f"burns={ENDLESS}"), "too-long"),
    "set of brackets": (("check", "--set", f"burns={'(' * 5_000}"), "too-deep"),
    "set of hours": (("check", "--set", f"burns={'9' * 18} h"), "too-long"),
    "set of more than a value": (("check", "--set", "burns=1 s } kind x {"), "is no value"),
    "set of two values": (("check", "--set", "burns=1 s\nsetting y = 2"), "is no value"),
    "set of two designs": (("check", "--set", "burns=1 s } design x {"), "is no value"),
    "set of an escape": (("check", "--set", "burns=\x1b[2J"), "stray-letter"),
    "set of a turned text": (("check", "--set", "burns=6 s\u202e"), "stray-letter"),
    "set by an escape": (("check", "--set", "\x1b]8;;x\x07=1"), "unknown-name"),
    "turn of digits": (("retune", "--turn", f"burns={ENDLESS}..{ENDLESS}"), "is no range"),
    "turn of an escape": (("retune", "--turn", "burns=\x1b[2J..3 s"), "is no range"),
    "press of digits": (("run", "--press", f"hand at {ENDLESS} s"), "is no press"),
    "press of an escape": (("run", "--press", "\x1b[2J at 1 s"), "is no press"),
    "press of blanks": (("run", "--press", f"hand{' ' * 50_000}x"), "is no press"),
    "for of digits": (("run", "--for", f"{ENDLESS} s"), "is no time"),
    "check for digits": (("check", "--for", f"{ENDLESS} s"), "is no time"),
    "for of a point": (("run", "--for", f"1.{ENDLESS} s"), "is no time"),
    "seed of digits": (("check", "--seed", ENDLESS), "seed"),
    "format of an escape": (("check", "--format", "\x1b[2J"), "format"),
    "claim of an escape": (("check", "--claim", "\x1b[2J"), "no claim"),
    "design of an escape": (("run", "--design", "\x1b[2J"), "no design"),
}
GOALS: Mapping[str, tuple[str, str]] = {
    "digits": (ENDLESS, "too-long"),
    "brackets": ("(" * 5_000, "too-deep"),
    "ors": ("hand or " * 10_000 + "hand", "too-deep"),
    "more than a goal": ("yes claim d: never yes", "a goal is one condition"),
    "two designs": ("yes } design x {", "a goal is one condition"),
    "an escape": ("\x1b[2J", "stray-letter"),
    "nothing": ("", "unreadable"),
}


def test_no_value_does_harm(tmp_path: Path) -> None:
    text = GOOD.replace("{\n", "{\n  setting burns = 2 s tunable 1 s .. 3 s\n", 1)
    put(tmp_path, "good.latch", text.replace("off_delay(2 s)", "off_delay(burns)"))
    calls = {name: [words[0], "good.latch", *words[1:]] for name, (words, _) in VALUES.items()}
    due = {name: words for name, (_, words) in VALUES.items()}
    for command in ("route", "bypass", "stuck", "trial"):
        for name, (goal, words) in GOALS.items():
            calls[f"{command} {name}"] = [command, "good.latch", goal]
            due[f"{command} {name}"] = words
    assert not refused(fenced(calls, tmp_path), due)


def test_large_lists_of_presses_are_bounded(tmp_path: Path) -> None:
    put(tmp_path, "good.latch", GOOD)
    put(tmp_path, "large", b"#" * (2 << 20))
    put(tmp_path, "bytes", b"\xff\0")
    put(tmp_path, "many", "".join(f"hand at {n} s\n" for n in range(30_000)))
    due = {"large": "too large", "bytes": "no UTF-8 text", "many": "30000 presses"}
    calls = {name: ["run", "good.latch", "--presses", name] for name in due}
    assert not refused(fenced(calls, tmp_path), due)
