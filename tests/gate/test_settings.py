"""The settings file."""

from pathlib import Path

import pytest

from drc.facts.options import FactOptions
from drc.gate.settings import DERATED, KEYS, Settings, read_settings
from drc.netlist.options import Limits, ReadOptions
from drc.quantity.span import Span
from drc.quantity.unit import CELSIUS
from drc.trouble import InputError

FULL = """
boards = ["boards/*.cir"]
parts = ["house.toml"]
gate = "warning"
ambient = "-40degC .. 85degC"

[known]
file = "known.json"
fixed = "error"

[assume]
resistor-tolerance = "5%"
resistor-tempco = "200ppm"
named-supply = "10%"

[reading]
m-on-resistors = "mega"
include-folders = ["../models"]

[limits]
elements = 500

[columns]
designator = "Bauteil"

[spread]
convention = "uniform"
draws = 5000
seed = 7
"""


def written(folder: Path, text: str) -> Path:
    """A settings file with this text."""
    path = folder / "tickproof.toml"
    path.write_text(text, encoding="utf-8")
    return path


def refusal(folder: Path, text: str) -> InputError:
    """The error that the text is refused with."""
    with pytest.raises(InputError) as caught:
        read_settings(written(folder, text))
    return caught.value


def test_every_key_reaches_what_it_sets(tmp_path: Path) -> None:
    """What a file says is what the run gets, in SI units."""
    settings = read_settings(written(tmp_path, FULL))
    assert settings.boards == ("boards/*.cir",)
    assert settings.parts == ("house.toml",)
    assert (settings.gate, settings.known, settings.fixed) == ("warning", "known.json", "error")
    assert settings.facts.resistor_tolerance == pytest.approx(0.05)
    assert settings.facts.resistor_tempco == pytest.approx(200e-6)
    assert settings.facts.inferred == pytest.approx(0.10)
    assert settings.facts.ambient == Span(-40.0, None, 85.0, CELSIUS)
    assert (settings.reading.m_means, settings.includes) == ("mega", ("../models",))
    assert (settings.reading.limits.elements, settings.reading.columns) == (500, {"designator": "Bauteil"})
    assert (settings.facts.convention, settings.facts.draws, settings.facts.seed) == ("uniform", 5000, 7)


def test_what_is_not_said_stays_as_it_is(tmp_path: Path) -> None:
    """An empty file changes nothing."""
    assert read_settings(written(tmp_path, "")) == Settings(facts=FactOptions())


def test_every_key_has_a_field() -> None:
    """No key of the file leads nowhere."""
    groups = {"facts": FactOptions._fields, "reading": ReadOptions._fields, "limits": Limits._fields}
    groups["derating"] = tuple(DERATED)
    for key in KEYS.values():
        group, _, name = key.field.rpartition(".")
        assert group == "columns" or name in groups.get(group, Settings._fields)


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        ('gaet = "error"', 1, "unknown key gaet; did you mean gate?"),
        ("[spread]\ndrawers = 5", 2, "unknown key spread.drawers; did you mean spread.draws?"),
        ('gate = "fatal"', 1, 'key gate: found "fatal", expected one of "note", "warning", "error"'),
        ("[spread]\ndraws = 3", 2, "key spread.draws: found 3, expected a whole number from 100 to 10000000"),
        ("[spread]\nseed = true", 2, "key spread.seed: found true, expected a whole number"),
        ('boards = "a.cir"', 1, 'key boards: found "a.cir", expected a list of texts'),
        ('ambient = "5V"', 1, 'key ambient: found "5V", expected temperatures such as'),
        ('[assume]\nresistor-tolerance = "1 ohm"', 2, "expected a share such as"),
        ('spread = "normal"', 1, 'key spread: found "normal", expected a table [spread]'),
        ("gate = error", 1, "is no TOML"),
        ("[oddly]\nx = 1", 1, "unknown key oddly"),
    ],
)
def test_a_wrong_key_is_named_where_it_stands(tmp_path: Path, text: str, line: int, message: str) -> None:
    """A wrong file is refused with its line, what was found and what was expected."""
    (trouble,) = refusal(tmp_path, text).troubles
    assert message in trouble.message
    assert trouble.place.line == line


def test_all_wrong_keys_are_named_at_once(tmp_path: Path) -> None:
    """A file with three mistakes is mended in one go."""
    assert len(refusal(tmp_path, 'gate = 1\nboards = 2\nxyz = "3"').troubles) == 3


def test_a_file_that_is_no_text_is_refused(tmp_path: Path) -> None:
    """Bytes that are no UTF-8 are one clear line."""
    path = tmp_path / "tickproof.toml"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="not UTF-8"):
        read_settings(path)
