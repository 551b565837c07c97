"""Many tries in a row, counted, and what they brought to light."""

import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from random import Random

from tests.hostile.guard import MEGABYTES, SECONDS, in_time, megabytes
from tests.hostile.tries import Sort


@dataclass(frozen=True, slots=True)
class Find:
    """An input that brought something wrong to light; `number` is that of the try."""

    sort: str
    seed: int
    number: int
    text: str
    words: str


@dataclass(slots=True)
class Count:
    """What became of the tries of one sort."""

    became: Counter[str] = field(default_factory=Counter)
    finds: list[Find] = field(default_factory=list)

    def line(self, name: str) -> str:
        """Return a row of the table."""
        became = ", ".join(f"{number} {word}" for word, number in self.became.most_common())
        return f"{name:<20}{self.became.total():>10}{len(self.finds):>7}  {became}"


HEAD = f"{'sort':<20}{'tried':>10}{'finds':>7}  what became of them"


def tried(
    name: str,
    sort: Sort,
    *,
    tries: int,
    seed: int,
    first: int = 0,
    seconds: float = SECONDS,
    told: Callable[[Find], None] = lambda _find: None,
) -> Count:
    """Try a sort so many times, from try `first` on; the same seed tries the same."""
    count = Count()
    for number in range(first, first + tries):
        text = sort.make(Random(f"{seed} {name} {number}"))
        before = megabytes()
        try:
            with in_time(seconds):
                words = sort.take(text)
            grown = megabytes() - before
            if grown > MEGABYTES:
                raise MemoryError(f"{grown} MB")  # noqa: TRY301 - told like any other find
        except Exception as wrong:  # noqa: BLE001 - whatever it is, it is what we look for
            words = "find"
            find = Find(name, seed, number, text, "".join(_told(wrong)))
            count.finds.append(find)
            told(find)
        count.became[words] += 1
    return count


def _told(wrong: Exception) -> Iterator[str]:
    yield f"{type(wrong).__name__}: {str(wrong)[:2000]}"
    for frame in traceback.extract_tb(wrong.__traceback__)[-4:]:
        yield f"\n    {frame.filename.rpartition('verifier/')[2]}:{frame.lineno} in {frame.name}"
