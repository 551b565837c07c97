"""One design, from its text through the whole verifier, and what each oracle says of it."""

from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field

from tests.oracles import explicit, integers, symbolic, unrolled
from tests.oracles.afresh.answering import Answering
from tests.oracles.afresh.letters import UnsureError
from tests.oracles.explicit import Explicit, TooManyError
from tests.oracles.truth import Truth
from tests.strategies.estates import HOME
from verifier import pipeline
from verifier.design import files
from verifier.design.model import Design
from verifier.design.resolve import designs_in, resolve
from verifier.engines.decide import Decider, Effort
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.system.model import Form, Question, System
from verifier.verdict.answer import Emptiness, Outcome, Reach, Verdict

ORACLES = ("networkx", "dd", "python-sat", "cvc5", "afresh")
DEEP = {"python-sat": 10, "cvc5": 5}
"""So many ticks are unrolled."""


LOOP = "refused for loop"
"""What is counted of designs whose parts wait for each other in a tick."""


class Disagreement(AssertionError):  # noqa: N818 - it is no error of ours
    """An oracle denies what the verifier says."""


@dataclass(slots=True)
class Tally:
    """What was compared: designs, claims, and of each oracle how often it could say something."""

    designs: Counter[str] = field(default_factory=Counter)
    claims: Counter[str] = field(default_factory=Counter)
    oracles: dict[str, Counter[str]] = field(
        default_factory=lambda: {name: Counter() for name in ORACLES}
    )


@dataclass(slots=True)
class Looked:
    """A design as the oracles look at it; `afresh` is None where it does not know a construct."""

    system: System
    states: Explicit
    afresh: Answering | None


def design_of(text: str, tally: Tally) -> Design | None:
    """Read a design; None where it is refused, which may only be for a loop (`LOOP`)."""
    collector = Collector()
    unit = files.of_source(Source("estate.latch", text), HOME, collector)
    assert unit is not None, collector.found
    design = resolve(designs_in(unit)[0], unit, collector)
    if design is None:
        codes = sorted({one.code for one in collector.found if one.severity.value == "error"})
        tally.designs[f"refused for {', '.join(codes)}"] += 1
    return design


def compare(text: str, tally: Tally, effort: float = 0.3, *, whole: bool = False) -> None:
    """Answer each claim of a design, and let each oracle look at each answer.

    `whole`: as `latchwork check` answers, in processes of its own, with the worst there is and runs
    made short; else in this one, without those.

    Raises:
        Disagreement: one denies it.
    """
    design = design_of(text, tally)
    if design is None:
        return
    looked = looked_at(text, design, pipeline.lowered(design))
    tally.designs["compared"] += 1
    if looked.afresh is None:
        tally.designs["not known afresh"] += 1
    if _no_run(looked):
        tally.designs["no run keeps its assumptions"] += 1
        return
    _same_states(looked, tally)
    _same_claims(looked)
    for question, outcome in _answers(looked.system, effort, whole=whole):
        if outcome.fault:
            raise Disagreement(f"{question.name}: {outcome.reason}")
        tally.claims[outcome.verdict.value] += 1
        for name, denied in judged(looked, question, outcome, tally):
            raise Disagreement(f"{name} on {question.name}: {denied}")


def looked_at(text: str, design: Design, system: System) -> Looked:
    """Return a design for the oracles; graphs are only made once something is asked of them."""
    clocks = {timer: system.shown[timer.path].timer for timer in design.timers}
    longest = {timer: system.clocks[index or 0].longest for timer, index in clocks.items()}
    try:
        afresh = Answering(text, HOME.parent)
    except UnsureError:
        afresh = None
    return Looked(system, Explicit(design, longest), afresh)


def _answers(system: System, effort: float, *, whole: bool) -> Iterator[tuple[Question, Outcome]]:
    if whole:
        settings = pipeline.CheckSettings(effort=Effort(seconds=effort))
        yield from ((one.question, one.outcome) for one in pipeline.answers(system, settings))
        return
    decider = Decider(system, Effort(seconds=effort), worst=False)
    yield from ((question, decider.decide(question)) for question in system.questions)


def _no_run(looked: Looked) -> bool:
    """Whether no run counts, as the verifier tells it; no oracle may know better."""
    told = pipeline.rules_out_all(looked.system) is not None
    for name, none in _none_counts(looked):
        if none is not told:
            raise Disagreement(f"that no run keeps what is assumed is {none} by {name}, not {told}")
    return told


def _none_counts(looked: Looked) -> Iterator[tuple[str, bool]]:
    with suppress(TooManyError):
        states = looked.states
        yield "networkx", states.start() not in states.steps(anywhere=False)
    if looked.afresh is not None:
        with suppress(UnsureError):
            yield "afresh", not looked.afresh.any_run_counts()


def _same_claims(looked: Looked) -> None:
    """Compare which claims there are, those that every design carries among them."""
    if looked.afresh is None:
        return
    asked = sorted(one.name for one in looked.system.questions)
    if asked != sorted(looked.afresh.names()):
        raise Disagreement(f"claims {looked.afresh.names()} by afresh, {asked} are answered")


def _same_states(looked: Looked, tally: Tally) -> None:
    """Count the kept states that runs come to, one by one and as one set."""
    try:
        steps = looked.states.steps(anywhere=False)
    except TooManyError:
        tally.designs["too many states to try"] += 1
        return
    one_by_one = len({(at.kept, at.timers) for at in steps})
    as_set = symbolic.kept_states(looked.system)
    if one_by_one != as_set:
        raise Disagreement(f"{one_by_one} kept states by networkx, {as_set} by dd")
    tally.designs["states counted twice"] += 1
    tally.designs["states in all"] += one_by_one


def judged(
    looked: Looked, question: Question, outcome: Outcome, tally: Tally
) -> Iterator[tuple[str, str]]:
    """Yield each oracle that denies an answer, and why; count those that do not."""
    for name in ORACLES:
        counts = tally.oracles[name]
        if outcome.verdict is Verdict.UNKNOWN:
            counts["verifier unsure"] += 1
            continue
        denied = _denied(name, looked, question, outcome)
        if denied is None:
            counts["not decided"] += 1
        elif denied:
            counts["disagreed"] += 1
            yield name, denied
        else:
            counts["agreed"] += 1


def _denied(name: str, looked: Looked, question: Question, outcome: Outcome) -> str | None:
    """Return why an oracle denies an answer, "" where it agrees, None where it cannot say."""
    system = looked.system
    match name:
        case "networkx":
            try:
                return _against(explicit.truth(looked.states, question.claim), outcome)
            except TooManyError:
                return None
        case "afresh":
            try:
                return _against_afresh(looked.afresh, question, outcome)
            except UnsureError:
                return None
        case "dd":
            if question.whatever:
                return None
            return _against(symbolic.truth(system, question), outcome)
        case "python-sat":
            return _against_ticks(system, question, outcome)
        case _:
            return _against_integers(system, question, outcome)


def _against_afresh(afresh: Answering | None, question: Question, outcome: Outcome) -> str | None:
    """Compare with what is true of all runs by the second reading of the text."""
    return None if afresh is None else _against(afresh.truth(question.name), outcome)


_EMPTY = {True: Emptiness.NEVER, False: Emptiness.TESTED}
"""What must not be told of a claim that runs put to the test, and of one that none does."""


def _against(truth: Truth, outcome: Outcome) -> str | None:
    """Compare with what is true of all runs."""
    said = outcome.verdict is Verdict.HOLDS
    if outcome.reach is Reach.UP_TO:
        early = truth.tick is not None and truth.tick <= (outcome.until or 0)
        return f"broken at {truth.tick}, told as kept up to {outcome.until}" if early else ""
    if truth.tested is not None and outcome.empty is _EMPTY[truth.tested]:
        return f"put to the test: {truth.tested}, told as {outcome.empty.value}"
    if said is not truth.holds:
        return f"holds: {truth.holds}, told as {outcome.verdict.value} by {outcome.engine}"
    return _earliest(truth.tick, outcome)


def _earliest(first: int | None, outcome: Outcome) -> str:
    if first is None or outcome.trace is None:
        return ""
    last = outcome.trace.length - 1
    if last < first or (outcome.earliest and last != first):
        return f"first at tick {first}, told as {last}"
    return ""


def _against_ticks(system: System, question: Question, outcome: Outcome) -> str | None:
    """Compare with the first ticks as one formula, and with rounds that wait for ever."""
    if question.form is Form.OPEN or question.whatever:
        return None
    reach = question.form is Form.REACH
    deep = DEEP["python-sat"]
    hit = question.goal if reach else question.bad
    found = unrolled.found(system, question, hit, deep)
    met = outcome.verdict is (Verdict.HOLDS if reach else Verdict.FAILS)
    until = outcome.until if outcome.reach is Reach.UP_TO else None
    if not met and (found.sure or found.waits):
        late = found.first is not None and until is not None and found.first > until
        return "" if late else f"a run meets it at tick {found.first}, waits {found.waits}"
    if met and outcome.trace is not None and outcome.lasso is None:
        return _before(found.first, outcome, deep)
    return "" if not met or found.sure or found.waits else None


def _before(first: int | None, outcome: Outcome, deep: int) -> str | None:
    """Compare the tick of the run that is shown with the first that any run has a hit in."""
    assert outcome.trace is not None
    last = outcome.trace.length - 1
    if first is None:
        return f"nothing is met within {deep} ticks, told as {last}" if last <= deep else None
    return f"first at tick {first}, told as {last}" if last < first else ""


def _against_integers(system: System, question: Question, outcome: Outcome) -> str | None:
    """Compare with the first few ticks by whole numbers."""
    if question.form is Form.OPEN or question.whatever:
        return None
    reach, deep = question.form is Form.REACH, DEEP["cvc5"]
    hit = question.goal if reach else question.bad
    first = integers.first_hit(system, question, hit, deep)
    met = outcome.verdict is (Verdict.HOLDS if reach else Verdict.FAILS)
    if met and outcome.trace is not None and outcome.lasso is None:
        return _before(first, outcome, deep)
    if first is None:
        return ""
    if system.allowed is not system.pool.yes:
        return None
    late = outcome.reach is Reach.UP_TO and first > (outcome.until or 0)
    return "" if met or late else f"a run meets it at tick {first}"
