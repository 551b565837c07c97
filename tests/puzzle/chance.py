"""Small puzzles by chance, as texts: rooms, people, levers, latches, doors, assumptions."""

from random import Random

from tests.puzzle.desk import asked
from verifier.puzzle.goal import Goal


def puzzle(seed: int) -> Goal:
    """Return a puzzle of one's own for each seed, with a goal."""
    dice = Random(seed)
    maker = _Maker(dice)
    text = maker.text()
    return asked(text, maker.goal())


class _Maker:
    def __init__(self, dice: Random) -> None:
        self.dice = dice
        self.rooms = ["lawn", "hall", "vault"][: dice.choice((0, 2, 3))]
        self.walkers = ["guest", "friend"][: dice.choice((1, 1, 2))] if self.rooms else []
        self.signals: list[str] = []
        self.statements: list[str] = []

    def text(self) -> str:
        """Return the whole design."""
        dice = self.dice
        if dice.random() < 0.4:
            self.statements.append("one press at a time")
        if self.rooms:
            self._rooms()
        for number in range(dice.choice((1, 1, 2)) if self.rooms else dice.choice((1, 2, 2))):
            self._hand(number)
        for number in range(dice.choice((1, 2))):
            self._kept(number)
        if self.rooms:
            self._passages()
        if dice.random() < 0.3:
            self.statements.append(f"assume never {self.condition()}")
        inside = "\n  ".join(self.statements)
        return f"design chance {{\n  tick 1 s\n  {inside}\n}}\n"

    def goal(self) -> str:
        """Return a goal."""
        if self.walkers and self.dice.random() < 0.6:
            extra = f" and {self.condition()}" if self.dice.random() < 0.4 else ""
            return f"guest is in {self.rooms[-1]}{extra}"
        dice = self.dice
        parts = [f"{'not ' if dice.random() < 0.1 else ''}{one}" for one in self.signals]
        return " and ".join(dice.sample(parts, min(len(parts), dice.choice((2, 2, 3)))))

    def condition(self) -> str:
        """Return a condition over what was made so far."""
        dice = self.dice
        parts = [self._literal() for _ in range(dice.choice((1, 2, 2)))]
        return f"({dice.choice((' and ', ' and ', ' or ')).join(parts)})"

    def _literal(self) -> str:
        dice = self.dice
        if self.walkers and dice.random() < 0.25:
            who = dice.choice([*self.walkers, "someone"])
            return f"{who} is in {dice.choice(self.rooms)}"
        name = dice.choice(self.signals) if self.signals else "yes"
        return f"not {name}" if dice.random() < 0.4 else name

    def _rooms(self) -> None:
        self.statements.append(f"rooms {', '.join(self.rooms)}")
        self.statements += [f"walker {one} starts in lawn" for one in self.walkers]

    def _passages(self) -> None:
        dice = self.dice
        for one, other in zip(self.rooms, self.rooms[1:], strict=False):
            when = f" when {self.condition()}" if dice.random() < 0.7 else ""
            takes = dice.choice(("", "", " takes 2 s", " takes 3 s", " takes 1 s .. 3 s"))
            way = dice.choice(("<->", "<->", "->"))
            self.statements.append(f"passage {one} {way} {other}{when}{takes}")

    def _hand(self, number: int) -> None:
        dice, name = self.dice, f"hand{number}"
        room = f"room: {dice.choice(self.rooms)}" if self.rooms and dice.random() < 0.4 else ""
        match dice.randrange(4):
            case 0:
                self.statements.append(f"free {name}: signal")
            case 1:
                self.statements.append(f"free {name}_: one of (none, left, right)")
                self.statements.append(f"let {name} = {name}_ is {dice.choice(('left', 'right'))}")
            case 2:
                self.statements.append(f"{name} : button{f'({room})' if room else ''}")
            case _:
                self.statements.append(f"{name} : lever{f'({room})' if room else ''}")
        self.signals.append(name)

    def _kept(self, number: int) -> None:
        dice, name = self.dice, f"kept{number}"
        begins = dice.choice((" starts", ""))
        on, off = (f"{dice.choice(self.signals)}{begins}" for _ in range(2))
        match dice.randrange(4):
            case 0:
                self.statements.append(f"keep {name}: flag")
                self.statements.append(f"{name} becomes not {name} when {on}")
            case 1:
                self.statements.append(f"keep {name}: flag")
                self.statements.append(f"{name} becomes yes when {on}, no when not {off}")
            case 2:
                span = dice.choice(("2 s", "3 s", "2 s .. 4 s"))
                self.statements.append(f"keep left{number}: timer")
                self.statements.append(f"left{number} loads {span} when {on}")
                self.statements.append(f"let {name} = left{number} > {dice.choice((0, 1))} s")
            case _:
                self.statements.append(f"keep at{number}: count 0 .. 3")
                up = f"at{number} + 1 when {on} and at{number} < 3"
                self.statements.append(f"at{number} becomes {up}, 0 when not {off}")
                self.statements.append(f"let {name} = at{number} = {dice.choice((1, 2, 3))}")
        self.signals.append(name)
