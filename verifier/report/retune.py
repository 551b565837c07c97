"""Retuning in the terminal: what to dial, or which claims stand against each other."""

from collections.abc import Iterator, Sequence
from typing import assert_never

from rich.text import Text

from verifier.report.clock import Clock
from verifier.report.counts import count_of
from verifier.report.dialled import dialled, headline, how_it_fails
from verifier.report.letters import padded, shown, width
from verifier.report.look import BROKEN, FAINT, NOTE, STRONG, Board
from verifier.report.paragraph import paragraph
from verifier.tuning.clash import Clash
from verifier.tuning.dials import Setting
from verifier.tuning.dials_rig import question
from verifier.tuning.retune import MOST_UNSURE, Aim
from verifier.tuning.retune_answer import Retuned
from verifier.verdict.answer import Reach, Verdict

_UNSURE_TOLD = 3
_INDENT = Text("  ")


def write_retuned(board: Board, found: Retuned, tick_ns: int) -> None:
    """Print what was found."""
    clock = Clock(tick_ns)
    for line in (*headline(board, found.rig, tick_ns), Text(), *_report(board, found, clock)):
        line.rstrip()
        board.console.print(line)


def _report(board: Board, found: Retuned, clock: Clock) -> Iterator[Text]:
    width_ = board.width
    style = BROKEN if found.none else STRONG
    yield from paragraph(width_, Text(), summary(found), style)
    if found.found.at is not None:
        yield from _dials(found, found.found.at, clock)
    yield Text()
    for words, look in _sentences(found, clock):
        yield from paragraph(width_, _INDENT, words, look)
    if found.clash is not None and found.none:
        yield Text()
        yield from _clash(board, found, found.clash, clock)


# --- in words -------------------------------------------------------------------------------------


def summary(found: Retuned) -> str:
    """Return in one sentence what came of it."""
    claims = _claims(len(found.before))
    at = found.found.at
    if at is None:
        if found.none:
            each = f"each of the {found.size:,} settings" if found.size > 1 else "the only setting"
            return f"No values serve: with {each} some claim fails."
        return "No values that serve were found, and none are ruled out for certain."
    if at == found.stands:
        return (
            f"As it stands {claims} {'holds' if len(found.before) == 1 else 'hold'}; leave it so:"
        )
    return f"With these values {claims} {'holds' if len(found.before) == 1 else 'hold'}:"


def _claims(count: int) -> str:
    return "its claim" if count == 1 else f"all {count} claims"


def _dials(found: Retuned, at: Setting, clock: Clock) -> Iterator[Text]:
    dials = found.rig.dials
    name = max(width(shown(dial.name)) for dial in dials)
    values = [dialled(dial, value, clock) for dial, value in zip(dials, at, strict=True)]
    value = max(map(width, values))
    for dial, stands, words in zip(dials, at, values, strict=True):
        now = "as it is" if stands == dial.now else f"now {dialled(dial, dial.now, clock)}"
        ends = f"{dialled(dial, dial.low, clock)} .. {dialled(dial, dial.high, clock)}"
        label = padded(shown(dial.name), name)
        yield Text.assemble(
            "  ", (label, STRONG), f"  {padded(words, value)}", (f"  {now}, of {ends}", FAINT)
        )


def _sentences(found: Retuned, clock: Clock) -> Iterator[tuple[str, str]]:
    if found.found.at is not None:
        yield _how_sure(found), ""
        if found.found.at != found.stands or found.goal.aim is not Aim.NEAR:
            yield _how_good(found), ""
        if found.idle:
            yield f"But what {_named(found.idle)} about never happens with these values.", BROKEN
    failing = [one for one in found.before if one.outcome.verdict is not Verdict.HOLDS]
    if found.found.at is not None and failing:
        here = found.rig.made(found.stands)
        told = "; ".join(
            how_it_fails(question(here, one.claim), one.outcome, clock) for one in failing
        )
        yield f"As it stands: {told}.", ""
    yield _cover(found), FAINT
    for one in found.found.unsure[:_UNSURE_TOLD]:
        place = _setting(found, one.at, clock)
        yield f"Not known with {place}: `{one.claim}` ({one.reason}).", NOTE
    more = len(found.found.unsure) - _UNSURE_TOLD
    if more > 0:
        yield f"Nor at {count_of(more, 'more setting')}.", NOTE
    if found.found.lacks:
        yield f"The search ended there: {found.found.lacks}.", NOTE
    elif found.found.spent and len(found.found.unsure) >= MOST_UNSURE:
        yield "The search ended there: too much stayed unknown; `--effort` tries harder.", NOTE
    elif found.found.spent:
        yield "The answers allowed were used up; `--calls` allows more.", NOTE


def _how_sure(found: Retuned) -> str:
    """Say how each claim is known to hold."""
    until = [one.claim for one in found.found.answers if one.outcome.reach is Reach.UP_TO]
    if not until:
        return "Each claim was asked anew with these values: proved for ever, or shown by a run."
    return (
        f"Each claim was asked anew with these values; {_named(until)} covered up to a time only."
    )


def _named(claims: Sequence[str]) -> str:
    """Return the names of claims with their verb: `a` is, or `a`, `b` are."""
    return f"{', '.join(f'`{one}`' for one in claims)} {'is' if len(claims) == 1 else 'are'}"


def _how_good(found: Retuned) -> str:
    goal, rig = found.goal, found.rig
    name = f"`{rig.dials[goal.dial].name}`"
    unsure = " among those that are known" if found.found.unsure else ""
    if not found.found.best:
        return "There may be better values: not all were looked at."
    match goal.aim:
        case Aim.NEAR:
            return f"No values that change less of it serve{unsure}."
        case Aim.LEAST:
            return f"No lower value of {name} serves{unsure}."
        case Aim.MOST:
            return f"No higher value of {name} serves{unsure}."
        case _:
            assert_never(goal.aim)


def _cover(found: Retuned) -> str:
    """Say how settings were ruled out, and at what cost."""
    told = []
    if found.regions:
        what = f"{count_of(found.regions, 'failing run')} or proof{'s' * (found.regions > 1)}"
        told.append(f"{what}, each for a whole region that was tried out at some places")
    if found.points:
        told.append(f"{count_of(found.points, 'setting')} one at a time")
    ruled = f"Ruled out by {' and '.join(told)}" if told else "Nothing had to be ruled out"
    answers = f"{count_of(found.calls, 'answer')} for {count_of(found.size, 'setting')}"
    by = f"; that nothing is left was found by {' and by '.join(found.none_by)}"
    return f"{ruled}{by if found.none else ''} ({answers})."


def _setting(found: Retuned, at: Setting, clock: Clock) -> str:
    dials = zip(found.rig.dials, at, strict=True)
    return ", ".join(f"{dial.name} = {dialled(dial, value, clock)}" for dial, value in dials)


# --- clashes --------------------------------------------------------------------------------------


def _clash(board: Board, found: Retuned, clash: Clash, clock: Clock) -> Iterator[Text]:
    names = " and ".join(f"`{one}`" for one in clash.claims)
    if not clash.claims:
        words = "With none of these values it is a design of which any run counts."
    elif len(clash.claims) == 1:
        words = f"{names} alone cannot be kept by any of these values; `--without` leaves it out."
    else:
        words = f"{names} clash: no values serve {'both' if len(clash.claims) == 2 else 'all'}."  # noqa: PLR2004 - two claims
    yield from paragraph(board.width, Text(), words, STRONG)
    for claim, at in zip(clash.claims, clash.without, strict=True):
        if len(clash.claims) == 1:
            continue
        if at is None:
            words = f"Whether `{claim}` is needed for the clash is not known."
        else:
            verb = "serves" if len(at) == 1 else "serve"
            words = f"Without `{claim}`: {_setting(found, at, clock)} {verb} the rest of them."
        yield from paragraph(board.width, _INDENT, words)
