"""Letters to tokens, and what all readers do with them: look, take, demand."""

import re
from dataclasses import dataclass
from typing import Any

Node = tuple[Any, ...]
"""What was read: a word that says of which sort it is, then its parts."""

_TOKEN = re.compile(
    r"""(?P<blank>[ \t\r\n]+|\#[^\r\n]*)
    |(?P<text>"(?:[^"\\\r\n]|\\["\\])*")
    |(?P<time>[0-9]+[ \t]*(?:ms|s|min|h|ticks?)(?![A-Za-z0-9_]))
    |(?P<number>[0-9]+)
    |(?P<name>[A-Za-z_][A-Za-z0-9_]*)
    |(?P<sign><->|->|\.\.|!=|<=|>=|[%\-+*<>=(){}\[\],.:])""",
    re.VERBOSE,
)


class UnsureError(Exception):
    """This reading cannot say: it does not know a construct, or there is too much to try."""


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of the text; `fresh`: it is the first of its line."""

    sort: str
    text: str
    fresh: bool


def tokens(text: str) -> list[Token]:
    """Cut a text into tokens, the last of which is its end.

    Raises:
        UnsureError: something is none.
    """
    found: list[Token] = []
    place, fresh = 0, False
    while place < len(text):
        piece = _TOKEN.match(text, place)
        if piece is None:
            raise UnsureError(f"no token: {text[place : place + 20]!r}")
        place = piece.end()
        if piece.lastgroup == "blank":
            fresh |= "\n" in piece[0]
            continue
        found.append(Token(piece.lastgroup or "", piece[0], fresh))
        fresh = False
    return [*found, Token("end", "", fresh=True)]


class Letters:
    """A text that is read from its first token to its last."""

    def __init__(self, text: str) -> None:
        """Begin at the first token."""
        self.tokens = tokens(text)
        self.place = 0

    def token(self, ahead: int = 0) -> Token:
        """Return the token here, or some further on."""
        return self.tokens[min(self.place + ahead, len(self.tokens) - 1)]

    def here(self, ahead: int = 0) -> str:
        """Return the text of the token here, or of one further on."""
        return self.token(ahead).text

    def next(self) -> str:
        """Take the token here."""
        found = self.here()
        self.place += 1
        return found

    def at(self, *words: str) -> bool:
        """Whether these words come next, all on one line."""
        return all(
            self.here(ahead) == word and not (ahead and self.token(ahead).fresh)
            for ahead, word in enumerate(words)
        )

    def takes(self, *words: str) -> bool:
        """Take these words if they come next."""
        found = self.at(*words)
        self.place += len(words) * found
        return found

    def demand(self, *words: str) -> None:
        """Take these words.

        Raises:
            UnsureError: others come next.
        """
        if not self.takes(*words):
            raise self.lost()

    def name(self) -> str:
        """Take a name.

        Raises:
            UnsureError: something else comes next.
        """
        if self.token().sort != "name":
            raise self.lost()
        return self.next()

    def number(self) -> int:
        """Take a whole number.

        Raises:
            UnsureError: something else comes next.
        """
        if self.token().sort != "number":
            raise self.lost()
        return int(self.next())

    def lost(self) -> UnsureError:
        """Return what to raise where nothing known comes next."""
        return UnsureError(f"not known: {' '.join(self.here(one) for one in range(5))}")
