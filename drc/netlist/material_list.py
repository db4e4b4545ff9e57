"""A bill of materials (CSV with a header): what it says of each element, and where a netlist disagrees."""

import re
from collections.abc import Iterable, Mapping

from drc.circuit.material import Material
from drc.circuit.model import Circuit, Element
from drc.netlist.source import Source
from drc.netlist.table import Cell, Columns, Row, place, read_table, token
from drc.quantity.notation import TOLERANCE_LETTERS, Notation, percent, read_value
from drc.quantity.text import QuantityError, format_value, parse_quantity
from drc.quantity.unit import FARAD, HENRY, OHM, PER_KELVIN, RATIO
from drc.trouble import Place, Trouble

COLUMNS = Columns(
    words={
        "designator": (
            "designator", "reference", "refdes", "designators", "references", "ref", "refs",
            "referencedesignator", "referencedesignators", "partreference", "itemreference", "position",
        ),
        "value": ("value", "val", "componentvalue", "nominal"),
        "part": ("part", "partnumber", "partname", "partno", "type", "device", "component", "ordercode"),
        "tolerance": ("tolerance", "tol", "tolerance%", "tol%"),
        "tempco": ("tempco", "tcr", "tc", "temperaturecoefficient", "ppm"),
        "rating": ("rating", "voltage", "power", "voltagerating", "powerrating"),
        "fitted": ("fitted", "fit", "mounted", "assembled", "populated", "assemble"),
        "not fitted": ("dnp", "dnf", "notfitted", "donotpopulate", "donotfit", "nofit"),
    },
    needed=("designator",),
)  # fmt: skip
"""Words of the trade for each column (common practice, no source)."""

_RANGE = re.compile(r"([A-Za-z_]+)(\d+)\s*(?:-|\.\.|\u2013|\u2026|:)\s*([A-Za-z_]*)(\d+)\Z")
_TO = re.compile(r"(?<!\s)\s*+(-|\.\.|\u2013|\u2026)\s*+(?=[A-Za-z_]*\d)")
_AROUND_TEMPCO = re.compile(r"^(?:\+/?-|±)\s*|(?<!\s)\s*+/?\s*+(?:K|°C|degC)$")
_YES = frozenset({"yes", "y", "1", "true", "x", "fit", "fitted", "ok"})
_NO = frozenset({"no", "n", "0", "false", "-", "nofit", "dnp", "dnf", "nf", "not fitted", "do not fit"})
_UNITS = {"R": OHM, "C": FARAD, "L": HENRY}
_DIGITS = 9
"""No designator has more of them."""

RANGE_LIMIT = 10_000
"""The most designators that one range may stand for."""


def read_materials(
    source: Source, mapped: Mapping[str, str] | None = None
) -> tuple[dict[str, Material], tuple[Trouble, ...]]:
    """Materials by designator in lower case, and what of the list could not be read.

    `mapped` gives a house's own column names by meaning. Raises InputError where it is no such list.
    """
    materials: dict[str, Material] = {}
    troubles: list[Trouble] = []
    for row in read_table(source, COLUMNS, mapped or {}):
        cell = row.cells.get("designator")
        if cell is None:
            continue
        for name in designators(cell.text, troubles, place(source, cell)):
            material = _material(source, row, name, troubles)
            earlier = materials.get(name.lower())
            if earlier is None:
                materials[name.lower()] = material
            elif _differs(earlier, material):
                message = f"{name} is listed twice with different entries; the first one is used: leave one"
                troubles.append(
                    Trouble("material-twice", "error", place(source, cell), message, others=(earlier.place,))
                )
    return materials, tuple(dict.fromkeys(troubles))


def designators(text: str, troubles: list[Trouble], at: Place) -> Iterable[str]:
    """The designators of a list such as `R1, R3-R7 R9`; a range that cannot be is a trouble."""
    spaced = _TO.sub(r"\1", text)
    for piece in (p for p in re.split(r"[,;\s]+", spaced) if p):
        match = _RANGE.match(piece)
        if match is None:
            yield piece
            continue
        letters, first, other, last = match.groups()
        longest = max(len(first), len(last))
        span = range(int(first), int(last) + 1) if longest <= _DIGITS else range(0)
        if (other and other.lower() != letters.lower()) or not span or len(span) > RANGE_LIMIT:
            message = f"'{piece}' is no range of designators: expected such as R3-R7, rising; write it out"
            troubles.append(Trouble("unreadable-line", "error", at, message))
            continue
        yield from (f"{letters}{number}" for number in span)


def _differs(one: Material, other: Material) -> bool:
    """Whether two lines say something different of an element."""
    return one._replace(place=other.place, token=other.token, part_token=other.part_token) != other


def _material(source: Source, row: Row, name: str, troubles: list[Trouble]) -> Material:
    """What one row says of one element."""
    cells = row.cells
    kind = name[0].upper()
    value = cells.get("value")
    notation = read_value(value.text, kind, "mega") if value and kind in _UNITS else None
    if value and notation and notation.value is None and notation.fitted:
        message = f"the value of {name} is '{value.text}', which is none: expected such as 4.7k or 100n"
        troubles.append(Trouble("unreadable-line", "error", place(source, value), message))
    part = cells.get("part") or (value if kind not in _UNITS else None)
    rating = cells.get("rating")
    return Material(
        place=place(source, cells["designator"]),
        value=notation.value if notation else None,
        tolerance=_tolerance(source, cells.get("tolerance"), notation, troubles),
        tempco=_tempco(source, cells.get("tempco"), troubles),
        fitted=_fitted(cells, notation),
        rating=rating.text if rating else notation.rating if notation else "",
        part=part.text if part else None,
        token=token(source, value) if value else None,
        part_token=token(source, part) if part else None,
    )


def _tolerance(
    source: Source, cell: Cell | None, notation: Notation | None, troubles: list[Trouble]
) -> tuple[float, float] | None:
    """Relative tolerance: a percentage, a bare number of percent, or a letter of IEC 60062."""
    if cell is None:
        return notation.tolerance if notation else None
    letter = TOLERANCE_LETTERS.get(cell.text.upper())
    share = (-letter, letter) if letter else percent(cell.text) or percent(f"{cell.text}%")
    if share is None:
        message = f"'{cell.text}' is no tolerance: expected such as 1% or +/-5%"
        troubles.append(Trouble("unreadable-line", "error", place(source, cell), message))
    return share


def _tempco(source: Source, cell: Cell | None, troubles: list[Trouble]) -> float | None:
    """Temperature coefficient in 1/K: a bare number is ppm."""
    if cell is None:
        return None
    text = _AROUND_TEMPCO.sub("", cell.text)
    try:
        value, unit = parse_quantity(f"{text}ppm" if re.fullmatch(r"[\d.]+", text) else text)
    except QuantityError:
        value, unit = -1.0, RATIO
    if value < 0 or unit not in (RATIO, PER_KELVIN):
        message = f"'{cell.text}' is no temperature coefficient: expected such as 100ppm"
        troubles.append(Trouble("unreadable-line", "error", place(source, cell), message))
        return None
    return value


def _fitted(cells: Mapping[str, Cell], notation: Notation | None) -> bool:
    """Whether assembly fits the element."""
    if "fitted" in cells and cells["fitted"].text.lower() in _NO:
        return False
    if "not fitted" in cells and cells["not fitted"].text.lower() in _YES | {"dnp", "dnf"}:
        return False
    return notation.fitted if notation else True


def disagreements(circuit: Circuit, materials: Mapping[str, Material]) -> tuple[Trouble, ...]:
    """Where a bill of materials and a netlist do not say the same; the bill of materials is believed."""
    troubles: list[Trouble] = []
    drawn = {element.path.lower(): element for element in circuit.elements()} if materials else {}
    for name, material in materials.items():
        element = drawn.get(name)
        if element is None:
            message = f"{name.upper()} is in the bill of materials but not in {circuit.path}"
            troubles.append(Trouble("material-not-drawn", "note", material.place, message))
            continue
        troubles.extend(_conflicts(element, material))
    return tuple(troubles)


def _conflicts(element: Element, material: Material) -> Iterable[Trouble]:
    """The contradictions about one element."""
    reading, unit = element.reading, _UNITS.get(element.kind, RATIO)
    advice = "the bill of materials is used: make the two agree"
    if (
        material.value is not None
        and reading.value is not None
        and abs(material.value - reading.value) > 1e-9 * abs(reading.value)
    ):
        here, there = format_value(reading.value, unit), format_value(material.value, unit)
        message = f"{element.path} is {there} in the bill of materials and {here} in the netlist; {advice}"
        yield Trouble("material-disagrees", "warning", material.place, message, others=(element.place,))
    if reading.tolerance and material.tolerance and reading.tolerance != material.tolerance:
        message = (
            f"{element.path} has one tolerance in the bill of materials, another in the netlist; {advice}"
        )
        yield Trouble("material-disagrees", "warning", material.place, message, others=(element.place,))
    if reading.fitted != material.fitted:
        here, there = ("fitted" if f else "not fitted" for f in (reading.fitted, material.fitted))
        message = f"{element.path} is {there} in the bill of materials and {here} in the netlist; {advice}"
        yield Trouble("material-disagrees", "warning", material.place, message, others=(element.place,))
    drawn_part = element.part
    if material.part and drawn_part and element.kind in "XU" and material.part.lower() != drawn_part.lower():
        message = (
            f"{element.path} is {material.part} in the bill of materials and {drawn_part} in the netlist; "
            "the netlist is used for parts: make the two agree"
        )
        yield Trouble("material-disagrees", "error", material.place, message, others=(element.place,))
