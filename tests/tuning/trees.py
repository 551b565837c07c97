"""Random trees of taps and dividers, and what plain arithmetic says of them."""

import random
from dataclasses import dataclass, replace
from itertools import product


@dataclass(frozen=True, slots=True)
class Leaf:
    """A load and the units it needs."""

    needs: int


@dataclass(frozen=True, slots=True)
class Tap:
    """A tap: at most `amount` goes aside, the rest goes on."""

    amount: int
    side: "Tree"
    rest: "Tree"


@dataclass(frozen=True, slots=True)
class Share:
    """A divider."""

    ways: tuple["Tree", ...]


Tree = Leaf | Tap | Share


def random_tree(dice: random.Random, taps: int) -> Tree:
    """Return a tree with so many taps; their amounts are drawn too."""
    if taps == 0:
        if dice.random() < 0.15:
            return Share((Leaf(dice.randint(1, 3)), Leaf(dice.randint(1, 3))))
        return Leaf(dice.randint(1, 4))
    left = dice.randint(0, taps - 1)
    side, rest = random_tree(dice, left), random_tree(dice, taps - 1 - left)
    return Tap(dice.randint(1, 6), side, rest)


def all_fed(tree: Tree, arrives: int) -> bool:
    """Whether each load gets what it needs."""
    match tree:
        case Leaf(needs):
            return arrives >= needs
        case Tap(amount, side, rest):
            aside = min(arrives, amount)
            return all_fed(side, aside) and all_fed(rest, arrives - aside)
        case Share(ways):
            count = len(ways)
            shares = [arrives // count + (place < arrives % count) for place in range(count)]
            return all(all_fed(way, share) for way, share in zip(ways, shares, strict=True))


def taps_of(tree: Tree) -> list[Tap]:
    """Return the taps of a tree, each before those behind it."""
    match tree:
        case Leaf():
            return []
        case Tap(_, side, rest):
            return [tree, *taps_of(side), *taps_of(rest)]
        case Share(ways):
            return [tap for way in ways for tap in taps_of(way)]


def needs_of(tree: Tree) -> int:
    """Return what all loads need together."""
    match tree:
        case Leaf(needs):
            return needs
        case Tap(_, side, rest):
            return needs_of(side) + needs_of(rest)
        case Share(ways):
            return sum(map(needs_of, ways))


def set_to(tree: Tree, amounts: list[int]) -> Tree:
    """Return the tree with other amounts of its taps, in the order of `taps_of`; takes them off."""
    match tree:
        case Leaf():
            return tree
        case Tap():
            amount = amounts.pop(0)
            side = set_to(tree.side, amounts)
            return replace(tree, amount=amount, side=side, rest=set_to(tree.rest, amounts))
        case Share(ways):
            return Share(tuple(set_to(way, amounts) for way in ways))


def least_fixed(tree: Tree, most: int) -> int | None:
    """Return the least supply with the taps as they are, by trying each."""
    return next((supply for supply in range(most + 1) if all_fed(tree, supply)), None)


def least_free(tree: Tree) -> int:
    """Return the least supply with which some setting of the taps serves, by trying all of them."""
    count = len(taps_of(tree))
    for supply in range(4 * needs_of(tree) + 1):
        for amounts in product(range(supply + 1), repeat=count):
            if all_fed(set_to(tree, list(amounts)), supply):
                return supply
    raise AssertionError("no setting serves")


def text_of(tree: Tree, supply: int) -> str:
    """Return the tree as a design."""
    lines: list[str] = []
    numbers = iter(range(1000))

    def place(one: Tree, feed: str) -> None:
        name = f"p{next(numbers)}"
        match one:
            case Leaf(needs):
                lines.append(f"  {name} : load(needs: {needs})\n  {feed} -> {name}")
            case Tap(amount, side, rest):
                lines.append(f"  {name} : tap({amount})\n  {feed} -> {name}")
                place(side, f"{name}.side")
                place(rest, f"{name}.rest")
            case Share(ways):
                lines.append(f"  {name} : divider(ways: {len(ways)})\n  {feed} -> {name}")
                for number, way in enumerate(ways, start=1):
                    place(way, f"{name}.way[{number}]")

    place(tree, "mains")
    return "\n".join(["design tree {", f"  mains : supply({supply})", *lines, "}"])
