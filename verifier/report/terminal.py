"""The answers to the claims of a design, in the terminal.

A headline, a table with a latch for each claim, then the story of each run that an answer rests on:
what happened, line by line, and for a claim that fails the time diagram.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rich.text import Text

from verifier.report.clock import Clock
from verifier.report.diagram import diagram
from verifier.report.ledger import ledger
from verifier.report.letters import padded, shown, width
from verifier.report.look import BROKEN, FAINT, INK, NOTE, STRONG, Board
from verifier.report.paragraph import paragraph
from verifier.report.story import Story, story
from verifier.report.verdicts import Words, words_for
from verifier.system.model import System
from verifier.verdict.answer import Answer, Verdict

_MOST_LINES = 14  # of a list of events
_LATCH = 5  # columns of the latch and the blank behind it
_LINE = len("line 9999")
_LONGEST_NAME = 20
_GAP = "  "


def write_answers(board: Board, system: System, answers: Sequence[Answer]) -> None:
    """Print all that is to be said of one design; `answers` may be some of its claims only."""
    for line in _report(board, system, answers):
        line.rstrip()
        board.console.print(line)


def _report(board: Board, system: System, answers: Sequence[Answer]) -> Iterator[Text]:
    # What is built in comes last: a person looks for the claims that they wrote.
    answers = sorted(answers, key=lambda one: one.question.claim.built_in is not None)
    yield from _headline(board, system, answers)
    yield Text()
    yield from _table(board, system, answers)
    for answer in answers:
        found = story(system, answer)
        if found is not None:
            yield Text()
            yield from _story(board, answer, found)
    yield Text()


# --- headline ---


def _headline(board: Board, system: System, answers: Sequence[Answer]) -> Iterator[Text]:
    """Yield the headline, with the facts behind it or, if there is no room, below."""
    design = system.design
    line = Text.assemble((f"{shown(design.name)}: ", STRONG), _tally(answers))
    parts = sum(not part.inside for part in design.parts)
    facts = f"tick {Clock(design.tick_ns).span(1)}, {parts} part{'' if parts == 1 else 's'}"
    facts = f"{shown(design.file)}, {facts}"
    if width(line.plain) + width(facts) + len(_GAP) <= board.width:
        yield line.append(f"{_GAP}{facts}", FAINT)
    else:
        yield line
        yield Text(facts, FAINT)


def _tally(answers: Sequence[Answer]) -> tuple[str, str]:
    count = dict.fromkeys(Verdict, 0)
    for answer in answers:
        count[answer.outcome.verdict] += 1
    total = len(answers)
    claims = f"{total} claim{'' if total == 1 else 's'}"
    fails, unknown = count[Verdict.FAILS], count[Verdict.UNKNOWN]
    if not total:
        return "no claims", INK
    if fails:
        more = f", {unknown} unknown" if unknown else ""
        return f"{fails} of {claims} {'fails' if fails == 1 else 'fail'}{more}", BROKEN
    if unknown:
        return f"{unknown} of {claims} {'is' if unknown == 1 else 'are'} unknown", STRONG
    return (f"all {claims} hold" if total > 1 else "its claim holds"), STRONG


# --- table ---


@dataclass(frozen=True, slots=True)
class _Columns:
    """Where the columns of the table stand; `written` is 0 where there is no room for that one."""

    name: int
    written: int
    verdict: int
    how: int

    @classmethod
    def of(cls, board: Board, answers: Sequence[Answer], words: Sequence[Words]) -> "_Columns":
        """Give each column what it needs; what is left goes to the claims as written."""
        name = max(width(shown(one.question.name)) for one in answers)
        verdict = max(width(one.verdict) for one in words)
        how = max(width(one.how) for one in words)
        name = min(name, _LONGEST_NAME)
        left = board.width - _LATCH - name - verdict - how - _LINE - 4 * len(_GAP)
        written = max(width(shown(one.question.claim.written)) for one in answers)
        how = max(0, min(how, board.width - _LATCH - name - verdict - _LINE - 3 * len(_GAP)))
        return cls(name, written if written <= left else 0, verdict, how)


def _table(board: Board, system: System, answers: Sequence[Answer]) -> Iterator[Text]:
    """Yield the rows of the table, a claim each."""
    if not answers:
        return
    clock = Clock(system.design.tick_ns)
    words = [words_for(answer, clock, board.letters) for answer in answers]
    columns = _Columns.of(board, answers, words)
    for answer, said in zip(answers, words, strict=True):
        yield from _row(board, answer, said, columns)


def _row(board: Board, answer: Answer, said: Words, columns: _Columns) -> Iterator[Text]:
    """Yield the lines of a claim; as written it stands in the row if there is room, else below."""
    claim = answer.question.claim
    written = shown(claim.written)
    line = Text.assemble(
        (said.latch, said.style),
        " ",
        (padded(shown(claim.name), columns.name), STRONG),
        _GAP,
        padded(written, columns.written) + _GAP if columns.written else "",
        (padded(said.verdict, columns.verdict), said.style or STRONG),
        _GAP,
        padded(said.how, columns.how),
    )
    if claim.built_in is None:
        number = f"line {claim.span.line}"
        line.rstrip()
        room = board.width - width(line.plain) - width(number)
        if room > 0:
            line.append(" " * room).append(number, NOTE)
    yield line
    indent = Text(" " * _LATCH)
    if not columns.written:
        yield from paragraph(board.width, indent, written, FAINT)
    for remark in said.remarks:
        yield from paragraph(board.width, indent, remark)


# --- stories ---


def _story(board: Board, answer: Answer, found: Story) -> Iterator[Text]:
    said = words_for(answer, found.history.clock, board.letters)
    claim = answer.question.claim
    title = Text.assemble((f"{shown(claim.name)} ", STRONG), (said.verdict, said.style or STRONG))
    if claim.text and width(title.plain) + width(shown(claim.text)) + 4 <= board.width:
        title.append(f'  "{shown(claim.text)}"')
    yield title
    if found.other:
        yield from paragraph(board.width, Text(_GAP), found.other)
    yield from ledger(board, found.history.clock, found.events, _MOST_LINES)
    for sentence in found.needs:
        yield from paragraph(board.width, Text(_GAP), sentence)
    if answer.outcome.verdict is Verdict.FAILS:
        yield Text()
        yield from diagram(board, found.history)
