"""Sentences as monitors: a few registers and clocks that watch a run, and what they find bad.

A sentence is judged within runs: the whole of time, or each stretch of the scopes around it.
Between two stretches of a scope lies at least one tick, in which all that a monitor remembers falls
back to its start; so nothing is carried from one stretch into the next. A clock loaded with v at
tick t shows v at t + 1 and v - j at t + 1 + j.

The forms are those of M. B. Dwyer, G. S. Avrunin, J. C. Corbett, "Patterns in Property
Specifications for Finite-State Verification", ICSE 1999, and of S. Konrad, B. H. C. Cheng,
"Real-time Specification Patterns", ICSE 2005, with the readings of docs/semantics.md.
"""

from dataclasses import dataclass
from typing import assert_never

from verifier.design import model as design
from verifier.system.draft import Draft
from verifier.system.expr import Node, Pool
from verifier.system.model import Clock, Form, Load, Question
from verifier.system.terms import Lowering


@dataclass(frozen=True, slots=True)
class Scope:
    """The runs in which a sentence is judged.

    `first`: a run begins at this tick. `shut`: one ended with the tick before. `whole`: there is
    but one run, all of time.
    """

    active: Node
    first: Node
    shut: Node
    whole: bool


@dataclass(frozen=True, slots=True)
class Finding:
    """What a monitor tells at each tick, see `Question`; None stands for no."""

    form: Form = Form.AVOID
    bad: Node | None = None
    goal: Node | None = None
    waiting: Node | None = None
    trigger: Node | None = None
    limit: int | None = None
    whatever: bool = False


def question(at: Lowering, claim: design.Claim) -> Question:
    """Return a claim made ready for engines; adds its monitor to the draft."""
    sentence, anywhere = claim.sentence, False
    if isinstance(sentence, design.FromAnywhere):
        sentence, anywhere = sentence.inner, True
    found, no = _watch(at, sentence), at.draft.pool.no
    return Question(
        name=claim.name,
        form=found.form,
        bad=found.bad or no,
        goal=found.goal or no,
        waiting=found.waiting or no,
        trigger=found.trigger,
        limit=found.limit,
        anywhere=anywhere,
        whatever=found.whatever,
        claim=claim,
    )


def assumed(at: Lowering, sentence: design.Sentence) -> Node:
    """Return: the assumption is broken at this tick; adds its monitor to the draft."""
    found = _watch(at, sentence)
    if found.form is not Form.AVOID or found.bad is None:
        raise AssertionError(f"no assumption can be of this form: {sentence}")
    return found.bad


def _watch(at: Lowering, sentence: design.Sentence) -> Finding:
    pool = at.draft.pool
    scope = Scope(pool.yes, pool.no, pool.no, whole=True)
    while isinstance(sentence, design.While | design.After | design.FromUntil):
        scope = _narrowed(at, scope, sentence)
        sentence = sentence.inner
    return _Watch(at, scope).finding(sentence)


def _narrowed(
    at: Lowering, outer: Scope, sentence: design.While | design.After | design.FromUntil
) -> Scope:
    draft, pool = at.draft, at.draft.pool
    match sentence:
        case design.While(condition):
            active = pool.and_(outer.active, at.condition(condition))
            before = draft.previous(active, f"{at.owner}: was open")
        case design.After(condition):
            opens = at.condition(condition)
            before, active = draft.held(f"{at.owner}: was open", outer.active, opens)
        case design.FromUntil(opening, shutting):
            stays = pool.and_(outer.active, pool.not_(at.condition(shutting)))
            opens = at.condition(opening)
            before, active = draft.held(f"{at.owner}: was open", stays, opens)
        case _:
            assert_never(sentence)
    first = pool.and_(active, pool.not_(before))
    shut = pool.and_(pool.not_(active), before)
    if outer.whole and isinstance(sentence, design.After):
        shut = pool.no
    return Scope(active, first, shut, whole=False)


@dataclass(frozen=True, slots=True)
class _Watch:
    """Makes the monitor of one sentence in its scope."""

    at: Lowering
    scope: Scope

    @property
    def _draft(self) -> Draft:
        return self.at.draft

    @property
    def _pool(self) -> Pool:
        return self.at.draft.pool

    def finding(self, sentence: design.Sentence) -> Finding:
        """Return what the monitor tells."""
        match sentence:
            case design.Never() | design.OnlyWhile() | design.NoSooner():
                return self._at_once(sentence)
            case design.Possible() | design.AlwaysPossible():
                return self._reached(sentence)
            case design.Lasts():
                return self._lasts(sentence)
            case design.Returns():
                return self._returns(sentence)
            case design.LeadsTo():
                return self._leads_to(sentence)
            case design.OnlyAfter():
                return self._only_after(sentence)
            case design.AtMostTimes():
                return self._at_most_times(sentence)
            case design.Eventually():
                return self._eventually(sentence)
            case design.While() | design.After() | design.FromUntil() | design.FromAnywhere():
                raise AssertionError(f"{type(sentence).__name__} stands where no scope can")
            case _:
                assert_never(sentence)

    # --- what the forms share ---------------------------------------------------------------------

    def _live(self, what: design.Cond) -> Node:
        """Return: it holds, in a run."""
        return self._pool.and_(self.scope.active, self.at.condition(what))

    def _starts(self, live: Node, name: str) -> tuple[Node, Node]:
        """Return: it held a tick ago in this run, and it starts now in this run."""
        was = self._draft.previous(live, f"{self.at.owner}: {name} a tick ago")
        return was, self._pool.and_(live, self._pool.not_(was))

    def _shows(self, name: str, when: Node, ticks: int, idle: Node) -> Node:
        """Return: a clock loaded with `ticks` by `when`, with 0 while `idle`, shows more than 0."""
        loads = (Load(when, ticks, ticks), Load(idle, 0, 0))
        return self._draft.countdown(f"{self.at.owner}: {name}", loads)

    def _before(self, ticks: int) -> Node:
        """Return: fewer than so many ticks of the run have passed."""
        name = f"{self.at.owner}: time left"
        if self.scope.whole:
            return self._draft.countdown(name, (), start=ticks)
        if ticks == 0:
            return self._pool.no
        closed = self._pool.not_(self.scope.active)
        left = self._shows("time left", self.scope.first, ticks - 1, closed)
        return self._pool.and_(self.scope.active, self._pool.or_(self.scope.first, left))

    def _trigger(self, own: Node | None) -> Node | None:
        """Return what makes the claim worth asking; a scope that never opens makes it empty."""
        if own is None and self.scope.whole:
            return None
        return self._pool.and_(self.scope.active, self._pool.yes if own is None else own)

    def _avoid(self, bad: Node, trigger: Node | None, limit: int | None = None) -> Finding:
        return Finding(
            bad=bad, trigger=self._trigger(trigger), limit=limit if self.scope.whole else None
        )

    def _again(self, waiting: Node, bad: Node, trigger: Node | None) -> Finding:
        return Finding(Form.AGAIN, bad=bad, waiting=waiting, trigger=self._trigger(trigger))

    # --- the forms --------------------------------------------------------------------------------

    def _at_once(self, sentence: design.Never | design.OnlyWhile | design.NoSooner) -> Finding:
        pool, live = self._pool, self._live(sentence.what)
        match sentence:
            case design.Never():
                return self._avoid(live, None)
            case design.OnlyWhile(condition=condition):
                lacking = pool.not_(self.at.condition(condition))
                return self._avoid(pool.and_(live, lacking), live)
            case design.NoSooner(limit=limit):
                return self._avoid(pool.and_(live, self._before(limit)), None, max(limit - 1, 0))
            case _:
                assert_never(sentence)

    def _reached(self, sentence: design.Possible | design.AlwaysPossible) -> Finding:
        goal, limit = self._live(sentence.what), sentence.limit
        match sentence:
            case design.Possible(whatever=whatever):
                if limit is not None:
                    goal = self._pool.and_(goal, self._before(limit + 1))
                return Finding(Form.REACH, goal=goal, limit=limit, whatever=whatever)
            case design.AlwaysPossible():
                return Finding(Form.OPEN, goal=goal, limit=limit)
            case _:
                assert_never(sentence)

    def _lasts(self, sentence: design.Lasts) -> Finding:
        live = self._live(sentence.what)
        bad = [self._pool.no]
        if sentence.least is not None:
            bad.append(self._too_short(live, sentence.least))
        if sentence.most is not None:
            bad.append(self._too_long(live, sentence.most, "stretch"))
        return self._avoid(self._pool.or_(*bad), live)

    def _too_short(self, live: Node, least: int) -> Node:
        if least <= 1:
            return self._pool.no
        was, starts = self._starts(live, "stretch")
        owing = self._shows("least", starts, least - 1, self._pool.not_(live))
        ends = self._pool.and_(self.scope.active, self._pool.not_(live), was)
        return self._pool.and_(ends, owing)

    def _too_long(self, live: Node, most: int, name: str) -> Node:
        if most == 0:
            return live
        was, starts = self._starts(live, name)
        left = self._shows("most", starts, most - 1, self._pool.not_(live))
        return self._pool.and_(live, was, self._pool.not_(left))

    def _returns(self, sentence: design.Returns) -> Finding:
        gone = self._pool.and_(self.scope.active, self._pool.not_(self.at.condition(sentence.what)))
        if sentence.limit is None:
            return self._again(gone, self._pool.no, None)
        return self._avoid(self._too_long(gone, sentence.limit, "gap"), None)

    def _leads_to(self, sentence: design.LeadsTo) -> Finding:
        pool, cause = self._pool, self._live(sentence.cause)
        open_ = pool.and_(self.scope.active, pool.not_(self.at.condition(sentence.effect)))
        if sentence.limit == 0:
            return self._avoid(pool.and_(cause, open_), cause)
        before, now = self._draft.held(f"{self.at.owner}: waits", open_, cause)
        if sentence.limit is None:
            return self._again(now, pool.and_(self.scope.shut, before), cause)
        asked = pool.and_(now, pool.not_(before))
        left = self._shows("time left", asked, sentence.limit - 1, pool.not_(open_))
        return self._avoid(pool.and_(open_, before, pool.not_(left)), cause)

    def _only_after(self, sentence: design.OnlyAfter) -> Finding:
        pool, used = self._pool, self._live(sentence.what)
        reached = self._pool.yes
        limits = [*(link.limit for link in sentence.links[1:]), sentence.limit]
        hit = pool.no
        for number, (link, limit) in enumerate(zip(sentence.links, limits, strict=True), start=1):
            _, starts = self._starts(self._live(link.what), f"step {number}")
            hit = pool.and_(starts, reached)
            reached = self._done(f"step {number} done", hit, limit)
        _, starts = self._starts(used, "use")
        return self._avoid(pool.and_(starts, pool.not_(pool.or_(hit, reached))), used)

    def _done(self, name: str, hit: Node, limit: int | None) -> Node:
        """Return: in this run it was hit at an earlier tick, at most `limit` ticks ago."""
        if limit is None:
            return self._draft.held(f"{self.at.owner}: {name}", self.scope.active, hit)[0]
        return self._shows(name, hit, limit, self._pool.not_(self.scope.active))

    def _at_most_times(self, sentence: design.AtMostTimes) -> Finding:
        pool, live = self._pool, self._live(sentence.what)
        _, starts = self._starts(live, "stretch")
        if sentence.window <= sentence.number:
            return self._avoid(pool.no, live)
        busy = pool.yes
        for number in range(1, sentence.number + 1):
            busy = self._slot(f"start {number}", starts, busy, sentence.window - 1)
        return self._avoid(pool.and_(starts, busy), live)

    def _slot(self, name: str, starts: Node, busy: Node, ticks: int) -> Node:
        """Add a clock that a start loads where all before it are busy; return: they and it are."""
        pool, index = self._pool, self._draft.open_clock()
        own = pool.above(index, 0)
        taken = Load(pool.and_(starts, busy, pool.not_(own)), ticks, ticks)
        idle = Load(pool.not_(self.scope.active), 0, 0)
        clock = Clock(f"{self.at.owner}: {name}", 0, (taken, idle), pool.yes, kept=False)
        self._draft.set_clock(index, clock)
        return pool.and_(busy, own)

    def _eventually(self, sentence: design.Eventually) -> Finding:
        pool, live = self._pool, self._live(sentence.what)
        before, now = self._draft.held(f"{self.at.owner}: seen", self.scope.active, live)
        missing = pool.and_(self.scope.active, pool.not_(now))
        if sentence.limit is None:
            return self._again(missing, pool.and_(self.scope.shut, pool.not_(before)), None)
        late = pool.and_(missing, pool.not_(self._before(sentence.limit)))
        return self._avoid(late, None, sentence.limit)
