"""The least amounts with which every part of a network of power gets what it needs.

Amounts are whole numbers for the solver, a tap the smaller of two as if-then-else. What is least is
found by halving: "there are amounts that serve with a sum of at most n" is nested in n, whatever
the network does with more.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, assert_never

from verifier.design import model
from verifier.design.model import Cond, Net
from verifier.logic.keyboard import listening

if TYPE_CHECKING:
    import z3

TIMEOUT_MS = 20_000
"""The solver is given so long for each question."""


class SwitchedError(ValueError):
    """An amount hangs on more than other amounts: on a signal, on something kept, on people."""


class NoAmountsError(ValueError):
    """No amounts at all serve, or the solver gave up; the words say which."""


@dataclass(frozen=True, slots=True)
class Network:
    """What is to be found: an amount for each source and each tap.

    `sources` are outputs that may give any amount; `taps` outputs that give the smaller of what
    arrives at another net and an amount of their own. `needs`: what has to arrive, and where.
    """

    sources: tuple[Net, ...]
    taps: Mapping[Net, Net]
    needs: tuple[tuple[Net, int], ...]


@dataclass(frozen=True, slots=True)
class Amounts:
    """The amounts found; `least`: it is shown that none with a smaller supply in all serve."""

    sources: tuple[int, ...]
    taps: tuple[int, ...]
    least: bool


@dataclass(slots=True, eq=False)
class _Encoder:
    network: Network
    inputs: dict[Net, "z3.ArithRef"]
    made: dict[Net, "z3.ArithRef"] = field(default_factory=dict)

    def net(self, net: Net) -> "z3.ArithRef":
        """Return what is on a net."""
        import z3

        if net not in self.made:
            if net in self.network.taps:
                arrives, own = self.net(self.network.taps[net]), self.inputs[net]
                self.made[net] = z3.If(arrives < own, arrives, own)
            elif net in self.inputs:
                self.made[net] = self.inputs[net]
            elif net.term is None:
                raise SwitchedError(net.path)
            else:
                self.made[net] = self._number(net.term, net)
        return self.made[net]

    def _number(self, term: model.Term, net: Net) -> "z3.ArithRef":
        import z3

        match term:
            case model.Fixed(value):
                return z3.IntVal(value)
            case model.Read(inner):
                return self.net(inner)
            case model.Add(left, right):
                return self._number(left, net) + self._number(right, net)
            case model.Subtract(left, right):
                return self._number(left, net) - self._number(right, net)
            case model.Scaled(fold, inner, by):
                return _scaled(fold, self._number(inner, net), by)
            case model.NumIf(condition, then, other):
                asked = self._condition(condition, net)
                return z3.If(asked, self._number(then, net), self._number(other, net))
            case _:
                raise SwitchedError(net.path)

    def _condition(self, term: Cond, net: Net) -> "z3.BoolRef":
        import z3

        match term:
            case model.Truth(value):
                return z3.BoolVal(value)
            case model.Compare(relation, left, right):
                return _compared(relation, self._number(left, net), self._number(right, net))
            case model.Live(inner) if inner.term is not None:
                return self._condition(_cond(inner), inner)
            case model.Not(inner):
                return z3.Not(self._condition(inner, net))
            case model.And(parts):
                return z3.And([self._condition(one, net) for one in parts])
            case model.Or(parts):
                return z3.Or([self._condition(one, net) for one in parts])
            case _:
                raise SwitchedError(net.path)


def _cond(net: Net) -> Cond:
    match net.term:
        case (
            model.Truth()
            | model.Compare()
            | model.Live()
            | model.Not()
            | model.And()
            | model.Or() as found
        ):
            return found
        case _:
            raise SwitchedError(net.path)


def _scaled(fold: model.Fold, inner: "z3.ArithRef", by: int) -> "z3.ArithRef":
    match fold:
        case model.Fold.TIMES:
            return inner * by
        case model.Fold.DIV:
            return inner / by
        case model.Fold.MOD:
            return inner % by
        case _:
            assert_never(fold)


def _compared(relation: model.Relation, left: "z3.ArithRef", right: "z3.ArithRef") -> "z3.BoolRef":
    match relation:
        case model.Relation.EQUAL:
            return left == right
        case model.Relation.LESS:
            return left < right
        case model.Relation.LESS_EQUAL:
            return left <= right
        case _:
            assert_never(relation)


def least_amounts(network: Network) -> Amounts:
    """Return amounts with the least supply in all, and among those with the least in the taps.

    Raises:
        SwitchedError: Power is switched on its way; the words are the path where.
        NoAmountsError: There are none, or none were found.
    """
    import z3

    try:
        return _least(network)
    except (z3.Z3Exception, MemoryError) as want:
        raise NoAmountsError(f"the solver failed: {want}") from want


def _least(network: Network) -> Amounts:
    import z3

    solver = z3.Solver()
    solver.set(timeout=TIMEOUT_MS, ctrl_c=False)
    free = (*network.sources, *network.taps)
    inputs = {net: z3.Int(f"amount {place}") for place, net in enumerate(free)}
    encoder = _Encoder(network, inputs)
    for one in inputs.values():
        solver.add(one >= 0)
    for net, need in network.needs:
        solver.add(encoder.net(net) >= need)
    given = z3.Sum([inputs[net] for net in network.sources])
    opened = z3.Sum([inputs[net] for net in network.taps]) if network.taps else z3.IntVal(0)
    found, least = _lowest(solver, given)
    if found is None:
        raise NoAmountsError("none serve" if least else "the solver gave up")
    solver.add(given <= _value(found, given))
    small, _ = _lowest(solver, opened)
    best = found if small is None else small
    return Amounts(
        tuple(_value(best, inputs[net]) for net in network.sources),
        tuple(_value(best, inputs[net]) for net in network.taps),
        least,
    )


def _lowest(solver: "z3.Solver", goal: "z3.ArithRef") -> tuple["z3.ModelRef | None", bool]:
    """Return a model in which the goal is least, and whether it is shown that none has less.

    No model, and yes: there is none at all.
    """
    import z3

    first = _asked(solver)
    if first != z3.sat:
        return None, bool(first == z3.unsat)
    best = solver.model()
    low, high = 0, _value(best, goal)
    while low < high:
        half = (low + high) // 2
        answer = _asked(solver, goal <= half)
        if answer == z3.sat:
            best = solver.model()
            high = _value(best, goal)
        elif answer == z3.unsat:
            low = half + 1
        else:
            return best, False
    return best, True


def _asked(solver: "z3.Solver", *given: "z3.BoolRef") -> "z3.CheckSatResult":
    """Return what the solver says; it may be interrupted."""
    with listening(solver.ctx.interrupt):
        return solver.check(*given)


def _value(found: "z3.ModelRef", term: "z3.ArithRef") -> int:
    return int(found.eval(term, model_completion=True).as_long())
