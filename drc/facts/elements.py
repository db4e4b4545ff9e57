"""Values of resistors and capacitors as quantities: value, tolerance and tempco, and who says so."""

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.circuit.material import Material
from drc.circuit.model import Element, Reading
from drc.facts.ambient import REFERENCE, ambient
from drc.facts.book import Book
from drc.facts.dependence import Dependence, combine, constant, input_of, varying
from drc.facts.dielectric import Dielectric, dielectric_of
from drc.facts.model import Unknown
from drc.facts.stated import about_element
from drc.facts.travel import setting
from drc.intent.model import Assume, Fit
from drc.quantity.span import Span
from drc.quantity.text import format_value
from drc.quantity.unit import FARAD, OHM, PER_KELVIN, Unit
from drc.trouble import Place

if TYPE_CHECKING:
    from drc.circuit.network import Array


class _Tempco(NamedTuple):
    """Relative change per kelvin, and per kelvin squared; `signed`: its sign is known; whose word it is."""

    first: float
    second: float
    signed: bool
    origin: str


def reading_of(book: Book, element: Element) -> Reading:
    """What the source says of the element's value, read once."""
    found = book.once(("reading", element.path), lambda: element.reading)
    assert isinstance(found, Reading)  # it asks for nothing
    return found


def fitted(book: Book, element: Element) -> bool:
    """Whether assembly fits the element: bill of materials, `fit` statement, then the line."""
    return book.once(("fitted", element.path), lambda: _fitted(book, element)) is True


def _fitted(book: Book, element: Element) -> bool:
    """By whose word comes first: looked up once, for every net that the element is on asks."""
    material = _material(book, element)
    if material is not None:
        return material.fitted
    statement = next(about_element(book, Fit, element), None)
    return reading_of(book, element).fitted if statement is None else statement.fitted


def resistance(book: Book, element: Element) -> Dependence | Unknown:
    """The resistance of an R element, ohm. Cause names: its path, `PATH tempco`, `ambient`.

    R = R0 (1 + tolerance) (1 + tempco |T - 25 degC|) where the tempco's sign is not known.
    """
    options = book.options
    return book.once(
        ("resistance", element.path),
        lambda: _value(book, element, OHM, options.resistor_tolerance, options.resistor_tempco),
    )


def rating_of(book: Book, element: Element) -> tuple[str, str, Place]:
    """What is written of the element's rating, by whom, and where: bill of materials, then line."""
    material = _material(book, element)
    if material is not None and material.rating:
        return material.rating, "bill of materials", material.place
    return reading_of(book, element).rating, "line", element.place


def rough_ohm(book: Book, element: Element) -> float | None:
    """The nominal resistance of an R element without its spread, ohm; None where there is none."""
    turned = setting(book, element)
    if turned is not None:
        return turned.nominal
    material = _material(book, element)
    return reading_of(book, element).value if material is None or material.value is None else material.value


def capacitor(book: Book, element: Element) -> Dependence | Unknown:
    """The capacitance of a C element, F; as `resistance`."""
    options = book.options
    return book.once(
        ("capacitance", element.path),
        lambda: _in_class(
            book,
            element,
            _value(book, element, FARAD, options.capacitor_tolerance, options.capacitor_tempco),
        ),
    )


def _in_class(book: Book, element: Element, value: Dependence | Unknown) -> Dependence | Unknown:
    """A capacitance with what its class code allows it to move over ambient; unknown beyond its temperatures.

    Without a class and a tempco the capacitor is taken as steady over temperature, as an assumption.
    """
    warm = ambient(book)
    if isinstance(value, Unknown) or not warm.causes:
        return value
    kind = _dielectric(book, element)
    if kind is None:
        if not value.causes or any(cause.name == f"{element.path} tempco" for cause in value.causes):
            return value
        note = f"{element.path} is steady over temperature"
        return value._replace(assumptions=(*value.assumptions, note))
    ends = warm.causes[0]
    if ends.low < kind.coldest or ends.high > kind.hottest:
        because = f"{element.path} is of class {kind.code}, which does not reach over the board's ambient"
        return Unknown(because, (f"{element.path} over ambient",))
    name = f"{element.path} class"
    evidence = input_of(name, f"{kind.code}, {_percent(kind.change)}", "class code", element.place)
    if kind.tempco:
        steep = Span(-kind.tempco, 0.0, kind.tempco, PER_KELVIN)
        drift = varying(
            name, steep, input_of(name, f"{kind.code}, +/- 30 ppm/K", "class code", element.place)
        )
        return combine(_either_sign, value, _led(drift, value), warm, unit=FARAD, text=value.text)
    moved = varying(name, Span(kind.change[0], 0.0, kind.change[1]), evidence)
    return combine(
        lambda farad, change: farad * (1 + change), value, _led(moved, value), unit=FARAD, text=value.text
    )


def _led(cause: Dependence, value: Dependence) -> Dependence:
    """A cause that pushes the same way as the value's own tolerance, tied to it where there is one."""
    if not value.causes:
        return cause
    return cause._replace(ties=((cause.causes[0].name, value.causes[0].name),))


def _dielectric(book: Book, element: Element) -> Dielectric | None:
    """The class that bill of materials, rating, part name or a `class` parameter gives."""
    material = _material(book, element)
    written = [material.rating, material.part or ""] if material is not None else []
    written += [reading_of(book, element).rating, element.part or "", element.parameters.get("class", "")]
    return next((kind for kind in map(dielectric_of, written) if kind is not None), None)


def _value(
    book: Book, element: Element, unit: Unit, usual: float, usual_tempco: float
) -> Dependence | Unknown:
    """Value, spread by tolerance and tempco, or what is missing."""
    if shares_name(book, element):
        return Unknown(f"two elements are called {element.path}", (f"{element.path} value",))
    turned = setting(book, element)
    if turned is not None:
        return turned
    material, reading = _material(book, element), reading_of(book, element)
    value, origin, place = reading.value, "line", element.place
    if material is not None and material.value is not None:
        value, origin, place = material.value, "bill of materials", material.place
    if value is None or value < 0:
        because = reading.because or ("it is negative" if value is not None else "it is not given")
        return Unknown(f"{element.path} has no usable value: {because}", (f"{element.path} value",))
    evidence = input_of(element.path, format_value(value, unit), origin, place)
    if value == 0:
        return constant(0.0, unit, evidence, text=element.path)
    tolerance, by = _tolerance(book, element, usual)
    assumed = (f"{element.path} tolerance {_percent(tolerance)} assumed",) if by == "default" else ()
    low, high = value * (1 + tolerance[0]), value * (1 + tolerance[1])
    if not 0 <= low <= high < np.inf:
        because = (
            f"the tolerance of {element.path}, {_percent(tolerance)}, takes it below nothing or without end"
        )
        return Unknown(because, (f"{element.path} tolerance",))
    base = varying(
        element.path,
        Span(low, value, high, unit),
        evidence,
        input_of(f"{element.path} tolerance", _percent(tolerance), by),
        assumptions=assumed,
    )
    if low == high:
        base = constant(value, unit, *base.inputs, text=element.path)._replace(assumptions=assumed)
    drift, warm = _tempco(book, element, usual_tempco), ambient(book)
    if warm.causes and not _least_factor(drift, warm.causes[0].low, warm.causes[0].high) > 0:
        because = f"the tempco of {element.path} takes it to nothing or below over the board's ambient"
        return Unknown(because, (f"{element.path} tempco",))
    return _warmed(book, element, _aged(book, element, base), drift)


def _aged(book: Book, element: Element, base: Dependence) -> Dependence:
    """The value with what the settings allow for ageing, either way."""
    options = book.options
    share = options.resistor_ageing if element.kind == "R" else options.capacitor_ageing
    if share == 0:
        return base
    name = f"{element.path} ageing"
    moved = varying(name, Span(-share, 0.0, share), input_of(name, _percent((-share, share)), "settings"))
    if base.causes:
        moved = _led(moved, base)
    return combine(lambda value, change: value * (1 + change), base, moved, unit=base.unit, text=base.text)


def shares_name(book: Book, element: Element) -> bool:
    """Whether another element is called the same: which of them a name means, nobody knows."""
    shared = _shared_names(book)
    return bool(shared) and element.place[:3] in shared


def _shared_names(book: Book) -> frozenset[tuple[str, int, int]]:
    """Where elements stand that share their name with another."""

    def places() -> frozenset[tuple[str, int, int]]:
        twice = (t for t in book.board.circuit.troubles if t.kind == "duplicate-name")
        return frozenset(place[:3] for trouble in twice for place in (trouble.place, *trouble.others))

    found = book.once(("shared names",), places)
    return frozenset() if isinstance(found, Unknown) else found


def _warmed(book: Book, element: Element, base: Dependence, tempco: _Tempco) -> Dependence:
    """The value from 25 degC to the ends of ambient."""
    warm = ambient(book)
    if not warm.causes:
        return base._replace(assumptions=(*base.assumptions, *warm.assumptions))
    if tempco.first == 0 and tempco.second == 0:
        return base
    name = f"{element.path} tempco"
    first = Span(-tempco.first, 0.0, tempco.first, PER_KELVIN)
    assumed = tempco.origin == "default"
    shown = format_value(tempco.first, PER_KELVIN)
    evidence = input_of(name, shown if tempco.signed else f"+/- {shown}", tempco.origin)
    if tempco.signed:
        steep: Dependence = constant(tempco.first, PER_KELVIN, evidence)
        factor = _known_sign(tempco.second)
    else:
        note = (f"{name} {format_value(tempco.first, PER_KELVIN)} assumed",) if assumed else ()
        steep = varying(name, first, evidence, assumptions=note)
        factor = _either_sign
        if base.causes:
            steep = steep._replace(ties=((name, base.causes[0].name),))
    return combine(factor, base, steep, warm, unit=base.unit, text=base.text)


def _either_sign(value: "Array", tempco: "Array", celsius: "Array") -> "Array":
    """value (1 + tempco |T - 25|): a tempco whose sign is not known pushes either way at either end."""
    return value * (1 + tempco * np.abs(celsius - REFERENCE))


def _known_sign(second: float) -> "Callable[[Array, Array, Array], Array]":
    """value (1 + tc1 dT + tc2 dT^2), as the R line of a netlist means it."""

    def law(value: "Array", first: "Array", celsius: "Array") -> "Array":
        rise = celsius - REFERENCE
        return value * (1 + first * rise + second * rise**2)

    return law


def _least_factor(tempco: _Tempco, coldest: float, hottest: float) -> float:
    """The least that a value is multiplied with between two temperatures, degC (a parabola's bottom too)."""
    rises = [coldest - REFERENCE, hottest - REFERENCE]
    if not tempco.signed:
        return 1 - abs(tempco.first) * max(map(abs, rises))
    bottom = -tempco.first / (2 * tempco.second) if tempco.second else 0.0
    if rises[0] < bottom < rises[1]:
        rises.append(bottom)
    return min(1 + tempco.first * rise + tempco.second * rise**2 for rise in rises)


def _material(book: Book, element: Element) -> Material | None:
    """The bill of materials' line for an element."""
    return book.options.materials.get(element.path.lower())


def _tolerance(book: Book, element: Element, usual: float) -> tuple[tuple[float, float], str]:
    """Relative tolerance and whose word it is."""
    material = _material(book, element)
    if material is not None and material.tolerance is not None:
        return material.tolerance, "bill of materials"
    written = reading_of(book, element).tolerance
    if written is not None:
        return written, "line"
    for statement in about_element(book, Assume, element):
        if statement.tolerance is not None:
            return statement.tolerance, "statement"
    return (-usual, usual), "default"


def _tempco(book: Book, element: Element, usual: float) -> _Tempco:
    """Tempco and whose word it is."""
    material = _material(book, element)
    if material is not None and material.tempco is not None:
        return _Tempco(material.tempco, 0.0, False, "bill of materials")
    written = reading_of(book, element).tempco
    if written is not None:
        return _Tempco(*written, True, "line")
    for statement in about_element(book, Assume, element):
        if statement.tempco is not None:
            return _Tempco(statement.tempco, 0.0, statement.tempco_signed, "statement")
    return _Tempco(usual, 0.0, False, "default")


def _percent(tolerance: tuple[float, float]) -> str:
    """`+/- 1 %`, or `-20 % .. +80 %`."""
    low, high = (100 * end for end in tolerance)
    return f"+/- {high:.4g} %" if -low == high else f"{low:+.4g} % .. {high:+.4g} %"
