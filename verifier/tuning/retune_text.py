"""A design's text with other values in the place of settings; all else stays as it is."""

from collections.abc import Mapping

from verifier.syntax import tree


class NoPlaceError(ValueError):
    """A value that stands nowhere in the text; the words say which."""


def with_values(text: str, block: tree.Block, values: Mapping[str, str]) -> str:
    """Return the text with these values of settings and parameters of a design, by name.

    Raises:
        NoPlaceError: a parameter has no default that could be written over.
    """
    places = _places(block)
    for name in values:
        if name not in places:
            raise NoPlaceError(f"{name} has no value in the file that could be replaced")
    last_first = sorted(values, key=lambda name: -places[name].span.start)
    for name in last_first:
        span = places[name].span
        text = text[: span.start] + values[name] + text[span.end :]
    return text


def _places(block: tree.Block) -> dict[str, tree.Value]:
    found = {one.name.text: one.value for one in block.body if isinstance(one, tree.Setting)}
    for one in block.parameters:
        if one.default is not None:
            found[one.name.text] = one.default
    return found
