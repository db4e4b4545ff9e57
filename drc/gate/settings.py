"""The settings file `tickproof.toml`: the one place that knows its keys."""

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, NamedTuple, get_args

from drc.blocks.refusal import Source, excerpt, key_place, nearest, shown
from drc.bounded import tables_of
from drc.facts.options import Convention, FactOptions
from drc.netlist.options import Limits, ReadOptions
from drc.quantity.notation import MChoice
from drc.quantity.span import Span
from drc.quantity.text import QuantityError, parse_quantity, parse_span
from drc.quantity.unit import CELSIUS, PER_KELVIN, RATIO
from drc.trouble import LEVELS, InputError, Level, Place, Trouble


class Settings(NamedTuple):
    """What a project has settled. Paths are relative to the settings file's folder, globs allowed.

    `boards` are reviewed where no path is named; `fixed` is the level of a known finding that is gone.
    """

    boards: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    known: str | None = None
    stock: str | None = None
    derating: Mapping[str, float] = {}
    gate: Level = "error"
    fixed: Level = "note"
    includes: tuple[str, ...] = ()
    facts: FactOptions = FactOptions()
    reading: ReadOptions = ReadOptions()


class WrongValueError(ValueError):
    """A value of the wrong kind: says what was expected."""


Reader = Callable[[Any], Any]
_TOML_PLACE = re.compile(r"\(at line (\d+), column (\d+)\)")


class Key(NamedTuple):
    """A key of the file: how its value is read, where it goes, and its line in a first settings file."""

    read: Reader
    field: str
    meaning: str
    example: str


def texts(value: object) -> tuple[str, ...]:
    """A list of texts."""
    if not isinstance(value, list) or not all(isinstance(item, str) and item for item in value):
        raise WrongValueError('a list of texts, as in ["boards/*.cir"]')
    return tuple(value)


def text(value: object) -> str:
    """A text that is not empty."""
    if not isinstance(value, str) or not value:
        raise WrongValueError("a text in quotes")
    return value


def one_of(*names: str) -> Reader:
    """A reader of one of a few names."""

    def read(value: object) -> str:
        if value not in names:
            hint = nearest(value, names) if isinstance(value, str) else ""
            raise WrongValueError("one of " + ", ".join(f'"{name}"' for name in names) + hint)
        return str(value)

    return read


def share(value: object) -> float:
    """A ratio from 0 to 1, written in percent or ppm."""
    if isinstance(value, str):
        try:
            quantity = parse_quantity(value)
        except QuantityError as error:
            raise WrongValueError(f'a share such as "1%" ({error})') from None
        if quantity.unit == RATIO and 0 <= quantity.value < 1:
            return quantity.value
    raise WrongValueError('a share such as "1%"')


def tempco(value: object) -> float:
    """A change per kelvin, written in ppm or ppm/K."""
    if isinstance(value, str):
        try:
            quantity = parse_quantity(value)
        except QuantityError as error:
            raise WrongValueError(f'a change per kelvin such as "100ppm" ({error})') from None
        if quantity.unit in (RATIO, PER_KELVIN) and 0 <= quantity.value < 1:
            return quantity.value
    raise WrongValueError('a change per kelvin such as "100ppm"')


def ambient(value: object) -> Span:
    """A span of temperatures."""
    if isinstance(value, str):
        try:
            span = parse_span(value)
        except QuantityError as error:
            raise WrongValueError(f'temperatures such as "-40degC .. 85degC" ({error})') from None
        if span.unit == CELSIUS:
            return span
    raise WrongValueError('temperatures such as "-40degC .. 85degC"')


def whole(least: int, most: int) -> Reader:
    """A reader of whole numbers within bounds."""

    def read(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise WrongValueError(f"a whole number from {least} to {most}")
        return value

    return read


KEYS: dict[str, Key] = {
    "boards": Key(texts, "boards", "reviewed where no path is named", '["boards/*.cir"]'),
    "parts": Key(texts, "parts", "part files, added to the built-in ones", '["parts/*.toml"]'),
    "rules": Key(texts, "rules", "house rule books, added to the built-in one", '["rules/*.rule"]'),
    "stock": Key(text, "stock", "resistor values that remedies choose from, a CSV file", '"stock.csv"'),
    "gate": Key(one_of(*LEVELS), "gate", "the level from which a finding fails the gate", '"error"'),
    "ambient": Key(ambient, "facts.ambient", "for boards that state none", '"-40degC .. 85degC"'),
    "known.file": Key(
        text, "known", "findings known from before, which do not fail the gate", '"known.json"'
    ),
    "known.fixed": Key(
        one_of(*LEVELS), "fixed", "the level at which a known finding that is gone is reported", '"note"'
    ),
    "assume.resistor-tolerance": Key(
        share, "facts.resistor_tolerance", "where nothing else is said; marked as assumed", '"1%"'
    ),
    "assume.resistor-tempco": Key(tempco, "facts.resistor_tempco", "per kelvin, likewise", '"100ppm"'),
    "assume.capacitor-tolerance": Key(share, "facts.capacitor_tolerance", "likewise assumed", '"10%"'),
    "assume.capacitor-tempco": Key(
        tempco, "facts.capacitor_tempco", "per kelvin, likewise assumed", '"0ppm"'
    ),
    "assume.resistor-ageing": Key(share, "facts.resistor_ageing", "drift over the life of the board", '"0%"'),
    "assume.capacitor-ageing": Key(share, "facts.capacitor_ageing", "likewise", '"0%"'),
    "assume.named-supply": Key(
        share, "facts.inferred", "half the width of a supply read in a net's name", '"5%"'
    ),
    "reading.m-on-resistors": Key(
        one_of(*get_args(MChoice)),
        "reading.m_means",
        "what a bare M on a resistor means: mega, milli, or report every such line",
        '"report"',
    ),
    "reading.include-folders": Key(
        texts, "includes", "folders outside the project from which files may be included", '["../models"]'
    ),
    "spread.convention": Key(
        one_of(*get_args(Convention)),
        "facts.convention",
        "how tolerances are distributed: three sigma, or uniform",
        '"normal"',
    ),
    "spread.draws": Key(whole(100, 10_000_000), "facts.draws", "how often Monte Carlo draws", "20000"),
    "spread.seed": Key(whole(0, 2**63 - 1), "facts.seed", "what its draws begin from", "1"),
}
"""Every key of the file, by table and name."""

KEYS |= {
    f"limits.{name.replace('_', '-')}": Key(
        whole(1, 10**12),
        f"limits.{name}",
        "what asks for more than this is refused in one line",
        str(default),
    )
    for name, default in Limits._field_defaults.items()
}
DERATED = {"power": "part-overheated", "voltage": "part-overvoltage"}
"""Which rule's `derating` a key of the table turns."""

KEYS |= {
    f"derating.{name}": Key(
        share, f"derating.{name}", f"how much of a part's rated {name} this house uses", '"80%"'
    )
    for name in DERATED
}
KEYS |= {
    f"columns.{name.replace(' ', '-')}": Key(
        text,
        f"columns.{name}",
        "headings of this house in pin lists and bills of materials",
        f'"{name.capitalize()}"',
    )
    for name in (
        "designator",
        "pin",
        "net",
        "value",
        "part",
        "tolerance",
        "tempco",
        "rating",
        "fitted",
        "not fitted",
    )
}

TABLES = frozenset(name.rpartition(".")[0] for name in KEYS) - {""}


def read_settings(path: Path, read: Callable[[Path], bytes] = Path.read_bytes) -> Settings:
    """The settings of a file, whose bytes `read` gives.

    InputError names file, line, key, what was found and what was expected.
    """
    try:
        content = read(path).decode("utf-8")
    except OSError as error:
        raise InputError(_trouble(Place(str(path)), f"cannot be read: {error.strerror}")) from None
    except UnicodeDecodeError:
        raise InputError(_trouble(Place(str(path)), "is not UTF-8 text: expected TOML")) from None
    source = Source(str(path), content)
    try:
        table = tables_of(content)
    except RecursionError:
        raise InputError(
            _trouble(Place(source.path), "nests too deeply: expected the tables of a settings file")
        ) from None
    except ValueError as error:  # TOMLDecodeError, or a number too long for Python
        raise InputError(_syntax(source, str(error))) from None
    return _settings(table, source)


def _settings(table: Mapping[str, Any], source: Source) -> Settings:
    """The settings of a parsed file; every wrong key is named at once."""
    fields: dict[str, Any] = {}
    troubles: list[Trouble] = []
    for name, value in _flat(table):
        place = key_place(source, name.split("."))
        key = KEYS.get(name)
        if name in TABLES:
            message = f"key {name}: found {shown(value)}, expected a table [{name}]"
        elif key is None:
            message = f"unknown key {name}{nearest(name, (*KEYS, *TABLES))}"
        else:
            try:
                fields[key.field] = key.read(value)
                continue
            except WrongValueError as error:
                message = f"key {name}: found {shown(value)}, expected {error}"
        troubles.append(_trouble(place, message, excerpt(source.text, place.line)))
    if troubles:
        raise InputError(*troubles)
    reading = ReadOptions(
        **_under("reading", fields),
        limits=Limits(**_under("limits", fields)),
        columns=_under("columns", fields),
    )
    own = {name: value for name, value in fields.items() if "." not in name}
    facts = FactOptions(**_under("facts", fields))
    return Settings(**own, facts=facts, reading=reading, derating=_under("derating", fields))


def _under(group: str, fields: Mapping[str, Any]) -> dict[str, Any]:
    """The fields of one group, by their own names."""
    return {name.partition(".")[2]: value for name, value in fields.items() if name.startswith(f"{group}.")}


def _flat(table: Mapping[str, Any]) -> list[tuple[str, object]]:
    """Keys with the table they stand in, in the file's order."""
    pairs: list[tuple[str, object]] = []
    for name, value in table.items():
        if isinstance(value, dict) and name in TABLES:
            pairs += [(f"{name}.{inner}", item) for inner, item in value.items()]
        else:
            pairs.append((name, value))
    return pairs


def _syntax(source: Source, message: str) -> Trouble:
    """The trouble for text that is no TOML, at the place that the TOML reader names."""
    found = _TOML_PLACE.search(message)
    place = Place(source.path, int(found[1]), int(found[2])) if found else Place(source.path)
    reason = message[: found.start()].strip() if found else message
    return _trouble(place, f"is no TOML: {reason[:1].lower()}{reason[1:]}", excerpt(source.text, place.line))


def _trouble(place: Place, message: str, line: str = "") -> Trouble:
    return Trouble("settings", "error", place, message, line)
