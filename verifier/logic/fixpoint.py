"""An invariant from the solver's own search for one (z3's Spacer), told as rules.

Method: A. Komuravelli, A. Gurfinkel, S. Chaki, "SMT-based model checking for recursive programs",
CAV 2014, as it comes with z3. The rules are about one relation, "a run comes to this state". A step
is a tick, or as many ticks as pass while nothing happens but that clocks count down. All single
ticks are among the steps, so what no step leaves, no tick leaves.
"""

import ctypes
from collections.abc import Sequence
from types import TracebackType

from verifier.logic.keyboard import listening
from verifier.logic.native import (
    AT,
    INT,
    MOST,
    TEXT,
    WHOLE,
    Result,
    Room,
    Term,
    array,
    call,
)
from verifier.logic.observed import dependents
from verifier.logic.spoken import Reader
from verifier.logic.tick import Tick, any_tick, next_tick, values
from verifier.system.expr import Node, Op
from verifier.system.model import Cone

_PLAIN = (b"xform.slice", b"xform.inline_linear", b"xform.inline_eager", b"xform.coi")
"""Rewritings of rules that would take the relation away that we want to be told of."""


class Rules(Room):
    """A room whose unknowns and claims go into rules about the states that runs come to."""

    def __init__(self, part: Cone, seed: int = 0) -> None:
        """Make the two relations: a run comes to a state; a run meets the target."""
        super().__init__(seed=seed)
        self._part = part
        self._unknowns: list[Term] = []
        self._claims: list[Term] = []
        at = self._at
        self._engine: int = call("Z3_mk_fixedpoint", AT, AT)(at) or self._fail()
        call("Z3_fixedpoint_inc_ref", None, AT, AT)(at, self._engine)
        sorts = [self._flags] * len(part.registers) + [self._wholes] * len(part.clocks)
        self._comes = self._relation(b"comes", sorts)
        self._meets = self._relation(b"meets", [])

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Free the search, then all else."""
        call("Z3_fixedpoint_dec_ref", None, AT, AT)(self._at, self._engine)
        super().__exit__(kind, error, trace)

    def _relation(self, name: bytes, sorts: Sequence[int]) -> int:
        at = self._at
        symbol = call("Z3_mk_string_symbol", AT, AT, TEXT)(at, name)
        make = call("Z3_mk_func_decl", AT, AT, AT, WHOLE, AT, AT)
        found: int = make(at, symbol, len(sorts), array(len(sorts))(*sorts), self._flags)
        if not found:
            self._fail()
        call("Z3_fixedpoint_register_relation", None, AT, AT, AT)(at, self._engine, found)
        return found

    def _fresh(self, sort: int) -> Term:
        term = super()._fresh(sort)
        self._unknowns.append(term)
        return term

    def claim(self, term: Term) -> None:
        """Add a condition of the rule in the making."""
        self._claims.append(term)

    def comes(self, at: Tick) -> Term:
        """Return: a run comes to this state."""
        terms = [*at.registers.values(), *at.clocks.values()]
        return self._applied(self._comes, terms)

    def _applied(self, relation: int, terms: Sequence[Term]) -> Term:
        make = call("Z3_mk_app", AT, AT, AT, WHOLE, AT)
        return Term(make(self._at, relation, len(terms), array(len(terms))(*terms)) or self._fail())

    def meets(self) -> Term:
        """Return: a run meets the target."""
        return self._applied(self._meets, ())

    def rule(self, head: Term) -> None:
        """Close a rule: where all that was claimed since the last one holds, so does the head."""
        body = self.and_(self._claims)
        make = call("Z3_mk_implies", AT, AT, AT, AT)
        term = make(self._at, body, head) or self._fail()
        if self._unknowns:
            types = (AT, WHOLE, WHOLE, AT, WHOLE, AT, AT)
            bind = call("Z3_mk_forall_const", AT, *types)
            bound = array(len(self._unknowns))(*self._unknowns)
            count = len(self._unknowns)
            term = bind(self._at, 0, count, bound, 0, None, term) or self._fail()
        add = call("Z3_fixedpoint_add_rule", None, AT, AT, AT, AT)
        add(self._at, self._engine, term, None)
        self._unknowns.clear()
        self._claims.clear()

    def solve(self, steps: int, seconds: float) -> Result:
        """Return whether a run meets the target: SAT if one does, UNSAT if none does.

        `steps` bounds the solver's own count of work, `seconds` the wall clock.
        """
        at = self._at
        settings = call("Z3_mk_params", AT, AT)(at) or self._fail()
        call("Z3_params_inc_ref", None, AT, AT)(at, settings)
        named = call("Z3_mk_string_symbol", AT, AT, TEXT)
        whole = call("Z3_params_set_uint", None, AT, AT, AT, WHOLE)
        flag = call("Z3_params_set_bool", None, AT, AT, AT, ctypes.c_bool)
        word = call("Z3_params_set_symbol", None, AT, AT, AT, AT)
        word(at, settings, named(at, b"engine"), named(at, b"spacer"))
        whole(at, settings, named(at, b"rlimit"), min(steps, MOST))
        whole(at, settings, named(at, b"timeout"), max(1, int(seconds * 1000)))
        whole(at, settings, named(at, b"spacer.random_seed"), self._seed)
        flag(at, settings, named(at, b"ctrl_c"), 0)
        for name in _PLAIN:
            flag(at, settings, named(at, name), 0)
        call("Z3_fixedpoint_set_params", None, AT, AT, AT)(at, self._engine, settings)
        self._raise_fault()
        query = call("Z3_fixedpoint_query", INT, AT, AT, AT)
        target = self.meets()
        with listening(self.stop):
            result = Result(query(at, self._engine, target))
        call("Z3_params_dec_ref", None, AT, AT)(at, settings)
        if result is not Result.UNKNOWN:
            self._raise_fault()
        return result

    def invariant(self) -> Node:
        """Return what holds of all states that runs come to (where none meets the target).

        Raises UnspokenError where it says what our expressions cannot.
        """
        answer = call("Z3_fixedpoint_get_answer", AT, AT, AT)(self._at, self._engine)
        return Reader(self._at, self._part).relation(answer or self._fail(), self._comes)


def rules(part: Cone, target: Node, seed: int, *, anywhere: bool) -> Rules:
    """Return the rules: what runs begin with, what a step leads to, what meets the target."""
    room = Rules(part, seed)
    room.rule(room.comes(_begin(room, part, anywhere=anywhere)))
    at = any_tick(room, part)
    room.claim(room.comes(at))
    room.claim(values(room, at, [part.system.allowed])[0])
    room.rule(room.comes(_step(room, part, at, target)))
    at = any_tick(room, part)
    room.claim(room.comes(at))
    for term in values(room, at, [part.system.allowed, target]):
        room.claim(term)
    room.rule(room.meets())
    return room


def _begin(room: Rules, part: Cone, *, anywhere: bool) -> Tick:
    """Return a state that runs begin with; all its unknowns are in it."""
    at, system = any_tick(room, part), part.system
    for index, term in at.registers.items():
        register = system.registers[index]
        if not (anywhere and register.kept):
            room.claim(term if register.start else room.not_(term))
    for index, term in at.clocks.items():
        clock = system.clocks[index]
        if not (anywhere and clock.kept):
            room.claim(room.equal(term, room.number(clock.start)))
    if anywhere:
        room.claim(values(room, at, [system.domain])[0])
    return at


def _step(room: Rules, part: Cone, at: Tick, target: Node) -> Tick:
    """Return the state after a step: of one tick, or of several in which nothing else happens."""
    length = room.whole()
    room.claim(room.above(length, 0))
    one = room.equal(length, room.number(1))
    after = next_tick(room, part, at)
    still = [
        room.not_(room.differ(after.registers[index], term)) for index, term in at.registers.items()
    ]
    clocks = {}
    for index, bounds in _thresholds(part, target).items():
        counts, rests = _counts(room, part, at, index)
        shows, loaded = at.clocks[index], after.clocks[index]
        still.append(room.or_((counts, rests, room.equal(loaded, shows))))
        for bound in bounds:
            above = room.and_((counts, room.above(shows, bound)))
            left = room.minus(shows, room.number(bound))
            still.append(room.implies(above, room.at_most(length, left)))
        waited = room.if_(counts, room.minus(shows, length), shows)
        clocks[index] = room.whole()
        room.claim(room.equal(clocks[index], room.if_(one, loaded, waited)))
    room.claim(room.or_((one, room.and_(still))))
    return Tick(after.registers, clocks, at.choices)


def _counts(room: Rules, part: Cone, at: Tick, index: int) -> tuple[Term, Term]:
    """Return: a clock counts down in this tick; it stands still, and is not loaded."""
    clock = part.system.clocks[index]
    runs, *loads = values(room, at, [clock.runs, *(load.when for load in clock.loads)])
    free = room.not_(room.or_(loads))
    counts = room.and_((runs, room.above(at.clocks[index], 0)))
    return room.and_((free, counts)), room.and_((free, room.not_(counts)))


def _thresholds(part: Cone, target: Node) -> dict[int, list[int]]:
    """Return what each clock is compared with, 0 included: no step passes such a point."""
    found: dict[int, set[int]] = {index: {0} for index in part.clocks}
    for node in dependents(part, target):
        if node.op is Op.ABOVE:
            found[node.data[0]].add(node.data[1])
    return {index: sorted(bounds) for index, bounds in found.items()}
