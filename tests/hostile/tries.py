"""One try: an input that nobody would give, taken through a part of the program, and judged.

What a try returns is a word for what became of the input; what is wrong is raised.
"""

import tempfile
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random

import click
from click.testing import CliRunner

from tests.hostile import texts
from tests.hostile.guard import printed, steers, told_well
from verifier.cli.acts import acts_of
from verifier.cli.main import main
from verifier.cli.times import PressType, TimeType
from verifier.cli.turning import turns
from verifier.design.files import of_source
from verifier.design.resolve import Wishes, designs_in, resolve
from verifier.design.scope import Unit
from verifier.puzzle.goal import goal_of
from verifier.simulate.told import NoWayError, played
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.syntax import tree
from verifier.syntax.parse import read_source
from verifier.syntax.tidy import tidy
from verifier.system.lower import lower
from verifier.system.model import System
from verifier.verdict.certificate_reader import UnreadableError, certificate_of, proofs_of

QUICK = "/dev/shm" if Path("/dev/shm").is_dir() else None  # noqa: S108 - memory, where there is any
"""Where files are put that are read once."""

_NOWHERE = Path("/nowhere/garden.latch")

WORKING = """design garden {
  setting stay = 2 s tunable 1 s .. 4 s
  rooms x, y
  passage x <-> y
  walker w starts in x
  h : button(room: x)
  m : supply(2)
  p : pulse(stay)
  l : lamp
  m -> p -> l
  h -> p.start
  claim rests: l lasts at most 3 s
  claim lit: never l
}
"""
"""A sound design, for what is said of one from outside."""


class Found(Exception):  # noqa: N818 - a find
    """What an input brought to light."""


def judged(collector: Collector) -> None:
    """Look at what was told: each message whole, and safe to print.

    Raises:
        Found: one is not.
    """
    for one in collector.found:
        lack = told_well(one)
        if lack:
            raise Found(lack)
    letter = steers(printed(collector.found))
    if letter:
        raise Found(f"a message prints {letter!r}")


def _design(text: str) -> str:
    """Take a text from the reader to the system."""
    collector = Collector()
    unit = of_source(Source("garden.latch", text), _NOWHERE, collector)
    if unit is None and not collector.failed:
        raise Found("not read, and nothing told")
    words = "unreadable" if unit is None else "empty"
    for block in [] if unit is None else designs_in(unit):
        found = resolve(block, unit, collector) if unit else None
        if found is None and not collector.failed:
            raise Found("refused, and nothing told")
        words = "mistaken" if found is None else "sound"
        if found is not None:
            lower(found)
    judged(collector)
    return words


def _bytes(data: bytes) -> str:
    """Take a file of any bytes through the reader of files and, if it is a text, the rest."""
    with tempfile.NamedTemporaryFile(dir=QUICK, suffix=".latch") as file:
        file.write(data)
        file.flush()
        collector = Collector()
        source = read_source(Path(file.name), collector)
        judged(collector)
    if source is None:
        if not collector.failed:
            raise Found("not read, and nothing told")
        return "unreadable"
    return _design(source.text)


def _is_let_stand(letter: str) -> bool:
    return letter in "\t\u200c\u200d" or unicodedata.category(letter) in ("Cn", "Co")


def _tidied(text: str) -> str:
    """Tidy a text; what comes out must be tidy, and steer no terminal."""
    collector = Collector()
    once = tidy(Source("garden.latch", text), collector)
    judged(collector)
    if once is None:
        return "unreadable"
    again = tidy(Source("garden.latch", once), Collector())
    if again != once:
        raise Found(f"tidied twice it is {again!r}, once it is {once!r}")
    # What it leaves as it is may hold letters that join, or that no standard has given a meaning.
    letter = steers("".join(one for one in once if not _is_let_stand(one)))
    if letter:
        raise Found(f"tidy prints {letter!r}")
    return "sound"


# --- what is said of a sound design ---------------------------------------------------------------


@cache
def _working() -> tuple[Unit, tree.Block]:
    unit = of_source(Source("garden.latch", WORKING), _NOWHERE, Collector())
    assert unit is not None
    return unit, designs_in(unit)[0]


@cache
def _system() -> System:
    unit, block = _working()
    design = resolve(block, unit, Collector())
    assert design is not None
    return lower(design)


def _set(text: str) -> str:
    unit, block = _working()
    collector = Collector()
    found = resolve(block, unit, collector, Wishes({"stay": text}))
    judged(collector)
    if found is None and not collector.failed:
        raise Found("refused, and nothing told")
    return "mistaken" if found is None else "sound"


def _context() -> click.Context:
    return click.Context(click.Command("run"))


def _press(text: str) -> str:
    ctx = _context()
    try:
        acts, last = acts_of(ctx, _system(), [PressType().convert(text, None, ctx)])
        if last < 10_000:
            played(_system(), acts, last + 1)
    except (click.UsageError, NoWayError):
        return "refused"
    return "sound"


def _time(text: str) -> str:
    try:
        TimeType().convert(text, None, None).ticks(100_000_000)
    except click.UsageError:
        return "refused"
    return "sound"


def _turn(text: str) -> str:
    try:
        turns(_context(), click.Option(["--turn"]), [f"stay={text}"])
    except click.UsageError:
        return "refused"
    return "sound"


def _goal(text: str) -> str:
    unit, block = _working()
    collector = Collector()
    found = goal_of(block, unit, text, collector, Wishes())
    judged(collector)
    if found is None and not collector.failed:
        raise Found("refused, and nothing told")
    return "mistaken" if found is None else "sound"


@cache
def certificates() -> tuple[str, ...]:
    """Return what shows the claims of the sound design, as texts."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "garden.latch"
        path.write_text(WORKING, encoding="utf-8")
        CliRunner().invoke(main, ["check", str(path), "--certificates", folder])
        found = sorted(Path(folder).glob("*.certificate"))
        return tuple(one.read_text(encoding="utf-8") for one in found)


def _certificate(text: str) -> str:
    try:
        read = certificate_of(text)
        proofs_of(read.proofs, _system(), read.above)
    except UnreadableError:
        return "refused"
    return "sound"


def certificate(dice: Random) -> str:
    """A certificate with some of its words, lines or letters changed."""
    lines = dice.choice(certificates()).split("\n")
    for _ in range(dice.randint(1, 3)):
        at = dice.randrange(len(lines))
        words = lines[at].split(" ")
        words[dice.randrange(len(words))] = dice.choice(
            ("", "0", "1", "-1", "9" * 15, "9" * 16, '"', "and", "list", "#", texts.letters(dice))
        )
        lines[at] = dice.choice(("", lines[at - 1], " ".join(words), " ".join(words)))
    return "\n".join(lines)


# --- whole commands -------------------------------------------------------------------------------

COMMANDS: tuple[tuple[str, ...], ...] = (
    ("check", "--effort", "0.05", "--jobs", "1", "--format", "json"),
    ("check", "--effort", "0.05", "--jobs", "1", "--finer", "2"),
    ("run", "--for", "2 s"),
    ("rhythm", "--effort", "0.05"),
    ("units", "--effort", "0.05"),
    ("retune", "--effort", "0.05"),
    ("margins", "--effort", "0.05"),
    ("draw",),
    ("tidy",),
    ("parts", "--from"),
)
GOALS = ("route", "bypass", "stuck", "trial")


def _command(text: str, dice: Random) -> str:
    """Call a command on a file; its exit status must be one of those that it tells of."""
    with tempfile.TemporaryDirectory(dir=QUICK) as folder:
        path = Path(folder) / "garden.latch"
        path.write_text(text, encoding="utf-8", errors="replace")
        if dice.random() < 0.3:
            words = [dice.choice(GOALS), str(path), texts.goal(dice), "--effort", "0.05"]
        elif dice.random() < 0.1:
            words = ["page", str(path), "-o", f"{folder}/page.html", "--effort", "0.05"]
        else:
            first, *rest = dice.choice(COMMANDS)
            words = [first, *rest, str(path)]
        ended = CliRunner().invoke(main, words)
    if ended.exit_code not in (0, 1, 2, 3):
        raise Found(f"{' '.join(words[:1])} ends with {ended.exit_code}: {ended.output[-600:]}")
    letter = steers(ended.output)
    if letter and words[0] != "tidy":
        raise Found(f"{words[0]} prints {letter!r}")
    return f"status {ended.exit_code}"


@dataclass(frozen=True, slots=True)
class Sort:
    """A sort of tries: how often it is tried, what is made, and what is done with it."""

    share: int
    make: Callable[[Random], str]
    take: Callable[[str], str]


def _raw(dice: Random) -> str:
    """Bytes, each as the letter of its number."""
    if dice.random() < 0.5:
        return dice.randbytes(dice.randrange(80)).decode("latin-1")
    coding = dice.choice(("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-32", "utf-7"))
    data = bytearray(texts.filled(dice).encode(coding, "surrogatepass"))
    for _ in range(dice.randrange(4)):
        data[dice.randrange(len(data))] = dice.randrange(256)
    return data.decode("latin-1")


def _any_text(dice: Random) -> str:
    return dice.choice(list(texts.TEXTS.values()))(dice)


def _whole(text: str) -> str:
    return _command(text, Random(text))  # the same text, the same call


SORTS: Mapping[str, Sort] = {
    "bytes": Sort(12, _raw, lambda text: _bytes(text.encode("latin-1"))),
    **{
        name: Sort(share, texts.TEXTS[name], _design)
        for name, share in (
            ("letters", 10),
            ("words", 15),
            ("words in a design", 6),
            ("by the grammar", 10),
            ("statements", 20),
            ("words changed", 6),
            ("letters changed", 6),
            ("lines mixed", 4),
            ("stretches repeated", 2),
        )
    },
    "tidied": Sort(6, _any_text, _tidied),
    "--set": Sort(4, texts.value, _set),
    "--press": Sort(8, texts.press, _press),
    "--for": Sort(6, texts.value, _time),
    "--turn": Sort(4, lambda dice: f"{texts.value(dice)}..{texts.value(dice)}", _turn),
    "goals": Sort(2, texts.goal, _goal),
    "certificates": Sort(10, certificate, _certificate),
}
"""Tries that take part of the way, with no engine at work."""

WHOLE = Sort(0, _any_text, _whole)
"""Tries of whole commands, with little effort."""
