"""New values put into the text of a design, everything else as it was."""

from pathlib import Path

import pytest

from verifier.design import files
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.syntax import tree
from verifier.tuning.retune_text import NoPlaceError, with_values

TEXT = """\
# Before it.
design lamp(burns: time = 2 s, many: count) {  # a lamp
  setting waits = 1 min  # after sunset
  setting lamps = 3
  hand : button
}
"""


def block() -> tree.Block:
    unit = files.of_source(Source("lamp.latch", TEXT), Path("lamp.latch"), Collector())
    assert unit is not None
    (found,) = unit.file.blocks
    return found


def test_settings_and_parameters_with_a_default_are_written_over() -> None:
    new = with_values(TEXT, block(), {"burns": "4500 ms", "lamps": "12", "waits": "7 s"})
    assert new == TEXT.replace("2 s", "4500 ms").replace("= 3", "= 12").replace("1 min", "7 s")
    assert with_values(TEXT, block(), {}) == TEXT


def test_a_parameter_without_a_default_has_no_place() -> None:
    with pytest.raises(NoPlaceError, match="many has no value in the file"):
        with_values(TEXT, block(), {"burns": "1 s", "many": "2"})
