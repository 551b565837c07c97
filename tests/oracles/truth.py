"""What an oracle that looks at all states finds true of a claim."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Truth:
    """What is true of a claim; `tick`: the first at which it is broken or, of `possible`, met.

    `counts`: whether any run does at all. `tested`: whether any puts it to the test, None where
    nobody looked.
    """

    holds: bool
    tick: int | None = None
    counts: bool = True
    tested: bool | None = None
