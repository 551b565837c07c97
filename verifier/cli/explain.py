"""`latchwork explain`: the page of a code, or the words of the language."""

import sys

import click

from verifier.cli.trouble import no_such
from verifier.report.look import board
from verifier.report.pages import write_codes, write_page, write_words
from verifier.source.codes import codes, page
from verifier.syntax.words import OTHER, TAKEN

_WORDS = "words"


@click.command("explain")
@click.argument("code", required=False)
@click.pass_context
def command(ctx: click.Context, code: str | None) -> None:
    """Explain CODE, a word that a message showed; `words` lists the words of the language.

    Without CODE all codes are listed.
    """
    sheet = board(sys.stdout)
    if code is None:
        write_codes(sheet, [found for one in codes() if (found := page(one)) is not None])
        return
    if code == _WORDS:
        write_words(
            sheet,
            [
                ("Words that can name nothing declared, except ports and parameters", TAKEN),
                ("Words that may be names all the same", OTHER),
            ],
        )
        return
    found = page(code)
    if found is None:
        raise no_such("code", code, (*codes(), _WORDS), ctx)
    write_page(sheet, found)
