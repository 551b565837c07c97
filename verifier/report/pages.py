"""Pages that explain codes, in the terminal: Markdown, set plainly."""

from collections.abc import Iterator, Mapping, Sequence
from typing import ClassVar

from rich.console import Console, ConsoleOptions, RenderResult
from rich.markdown import CodeBlock, Heading, Markdown, MarkdownElement
from rich.text import Text
from rich.theme import Theme

from verifier.report.letters import shown, width
from verifier.report.look import NOTE, STRONG, Board
from verifier.source.codes import Page

_MARGIN = "  "
_WIDEST = 90  # longer lines of prose are hard to read


class _Heading(Heading):
    """A heading on a line of its own, without a box around it."""

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        del console, options
        self.text.stylize(STRONG if self.tag == "h1" else f"{STRONG} {NOTE}")
        self.text.justify = "left"
        yield self.text


class _Design(CodeBlock):
    """An example, indented and letter for letter."""

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        del console, options
        for line in str(self.text).rstrip().splitlines():
            yield Text(f"{_MARGIN}{shown(line)}", no_wrap=True, overflow="ignore")


class _Page(Markdown):
    """Markdown with our headings and examples."""

    elements: ClassVar[dict[str, type[MarkdownElement]]] = {
        **Markdown.elements,
        "heading_open": _Heading,
        "fence": _Design,
        "code_block": _Design,
    }


def write_page(board: Board, page: Page) -> None:
    """Print the page of a code, without blanks at the ends of lines."""
    console = board.console
    options = console.options.update(width=min(board.width, _WIDEST))
    # Names in a page are set apart as everywhere else, not by a patch of another ground.
    with console.use_theme(Theme({"markdown.code": STRONG, "markdown.h1": STRONG})):
        lines = console.render_lines(_Page(page.text, hyperlinks=False), options, pad=False)
    for line in lines:
        text = Text.assemble(*((one.text, one.style or "") for one in line if not one.control))
        text.rstrip()
        console.print(text)
    console.print(Text.assemble("\n", ("code: ", NOTE), page.code))


def write_codes(board: Board, pages: Sequence[Page]) -> None:
    """Print the list of all codes with their headlines."""
    for line in _listed([(page.code, page.headline) for page in pages]):
        board.console.print(line)
    board.console.print(Text("\nMore on one: latchwork explain CODE"))


def write_words(board: Board, tables: Sequence[tuple[str, Mapping[str, str]]]) -> None:
    """Print tables of words with their meaning, each under a heading."""
    for number, (heading, words) in enumerate(tables):
        if number:
            board.console.print()
        board.console.print(Text(heading, STRONG))
        for line in _listed(sorted(words.items())):
            board.console.print(line)


def _listed(entries: Sequence[tuple[str, str]]) -> Iterator[Text]:
    longest = max((width(name) for name, _ in entries), default=0)
    for name, words in entries:
        yield Text.assemble((name.ljust(longest), STRONG), _MARGIN, shown(words))
