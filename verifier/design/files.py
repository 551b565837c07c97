"""Files and the files they use: found, read once, kept inside the folder of the first."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from verifier.design import wording
from verifier.design.scope import Unit
from verifier.source.diagnostic import Collector
from verifier.source.shipped import shipped_text
from verifier.source.text import Source
from verifier.syntax import tree
from verifier.syntax.parse import parse, read_source

MOST_FILES = 100
"""No more files than this are read for one design (`too-many`)."""

DEEPEST_USES = 50
"""No file that is used by one that is used by another, and so on, more times than this."""


@cache
def standard() -> Unit:
    """Return the standard kinds; a mistake in them is an error of ours."""
    collector = Collector()
    source = Source("<parts>", shipped_text("parts.latch"))
    file = parse(source, collector)
    if file is None or collector.failed:
        raise AssertionError(collector.found)
    return Unit(source, file, ())


def load(path: Path, collector: Collector) -> Unit | None:
    """Read a file and all that it uses; None where that fails, which is then told."""
    source = read_source(path, collector)
    return None if source is None else of_source(source, path, collector)


def of_source(source: Source, path: Path, collector: Collector) -> Unit | None:
    """Take a text that is at hand; `path` is where the files that it uses are looked for."""
    return _Loader(path.resolve().parent, collector).unit(source, path.resolve(), ())


@dataclass(slots=True)
class _Loader:
    """Reads each file once; `folder` is the one that nothing may lead out of."""

    folder: Path
    collector: Collector
    known: dict[Path, Unit | None] = field(default_factory=dict)

    def unit(self, source: Source, path: Path, above: tuple[Path, ...]) -> Unit | None:
        file = parse(source, self.collector)
        if file is None:
            return None
        _check_names(file, self.collector)
        uses = [self._used(one, path, (*above, path)) for one in file.uses]
        found = [(use, one) for use, one in zip(file.uses, uses, strict=True) if one is not None]
        _check_kinds(file, found, self.collector)
        whole = len(found) == len(uses)
        return Unit(source, file, (*(one for _, one in found), standard()), whole=whole)

    def _used(self, use: tree.Use, path: Path, above: tuple[Path, ...]) -> Unit | None:
        told = self.collector.add
        wanted = _found(path.parent / use.path)
        if wanted is None:
            told(wording.use_missing(use.span, use.path))
            return None
        if not wanted.is_relative_to(path.parent):
            told(wording.use_outside(use.span, use.path))
            return None
        if wanted in above:
            told(wording.use_circle(use.span, use.path))
            return None
        if wanted not in self.known:
            self.known[wanted] = self._read(use, wanted, above)
        return self.known[wanted]

    def _read(self, use: tree.Use, wanted: Path, above: tuple[Path, ...]) -> Unit | None:
        if not wanted.is_file():
            self.collector.add(wording.use_missing(use.span, use.path))
            return None
        if len(above) > DEEPEST_USES or len(self.known) >= MOST_FILES:
            told = (DEEPEST_USES, MOST_FILES)
            self.collector.add(wording.too_many_files(use.span, *told))
            return None
        source = read_source(wanted, self.collector)
        return None if source is None else self.unit(source, wanted, above)


def _found(path: Path) -> Path | None:
    """Return the file that a path leads to in the end, None where it leads nowhere."""
    try:
        path = path.resolve()
        path.is_file()
    except (OSError, RuntimeError, ValueError):
        # Links in a circle, a name longer than the system takes, a letter that it does not take.
        return None
    return path


def _check_names(file: tree.File, collector: Collector) -> None:
    first: dict[str, tree.Block] = {}
    for block in file.blocks:
        name = block.name.text
        if name in first:
            collector.add(wording.twice(block.name.span, name, first[name].name.span))
        first.setdefault(name, block)


def _check_kinds(
    file: tree.File, uses: Sequence[tuple[tree.Use, Unit]], collector: Collector
) -> None:
    """Tell of kinds that two used files have: which of them is meant may not hang on their order.

    A kind of the file itself takes the place of all others of its name, so it leaves nothing open.
    """
    own = {block.name.text for block in file.blocks if not block.is_design}
    first: dict[str, tree.Block] = {}
    for use, unit in uses:
        for block in unit.file.blocks:
            name = block.name.text
            if block.is_design or name in own:
                continue
            if first.setdefault(name, block) is not block:
                both = (first[name].name.span, block.name.span)
                collector.add(wording.kind_of_two_files(use.span, name, both))
