"""Monitors run in the reference simulator on rows of what is live."""

from collections.abc import Sequence
from dataclasses import replace

from tests.semantics.sentences import BENCH, LETTERS
from tests.semantics.table import Row
from tests.system.make import NOWHERE
from verifier.design.model import Claim, Sentence
from verifier.system.cone import cone
from verifier.system.lower import lower
from verifier.system.program import program
from verifier.system.state import State, start_of


class Watcher:
    """The monitor of one sentence: what it finds bad, waiting, worth asking, at each tick."""

    def __init__(self, sentence: Sentence) -> None:
        """Lower the sentence and print its monitor."""
        claim = Claim("it", None, sentence, NOWHERE, "it")
        self.system = lower(replace(BENCH.design(), claims=(claim,)))
        (self.question,) = self.system.questions
        asked = self.question
        trigger = self.system.pool.yes if asked.trigger is None else asked.trigger
        self.program = program(cone(self.system, [asked.bad, asked.waiting, trigger, asked.goal]))
        self.start = start_of(self.system)
        self.draws = (0,) * len(self.system.clocks)

    def tick(self, at: State, row: Row) -> tuple[State, tuple[bool, ...]]:
        """Return the next state, and: bad, waiting, asked, goal."""
        choices = tuple(int(letter in row) for letter in LETTERS)
        return self.program.step(at, choices, self.draws)

    def first_bad(self, rows: Sequence[Row]) -> int | None:
        """Return the first tick that breaks the sentence."""
        at = self.start
        for tick, row in enumerate(rows):
            at, (bad, *_) = self.tick(at, row)
            if bad:
                return tick
        return None

    def fails_for_ever(self, stem: Sequence[Row], loop: Sequence[Row]) -> bool:
        """Whether the endless run breaks the sentence: something bad, or waiting without an end."""
        at = self.start
        for row in stem:
            at, (bad, *_) = self.tick(at, row)
            if bad:
                return True
        met: set[State] = set()
        while at not in met:
            met.add(at)
            waits = True
            for row in loop:
                at, (bad, waiting, *_) = self.tick(at, row)
                if bad:
                    return True
                waits = waits and waiting
        # The state at the end of a round recurs: go through one whole cycle of rounds.
        again, waits = at, True
        while True:
            for row in loop:
                at, (_, waiting, *_) = self.tick(at, row)
                waits = waits and waiting
            if at == again:
                return waits
