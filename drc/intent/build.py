"""A form to its typed statement: quantities read, units and words checked."""

from typing import Literal, NoReturn

from drc.intent.form import Form, Piece, StatementError
from drc.intent.model import (
    Accept,
    Adjust,
    Ambient,
    Assume,
    Condition,
    Expect,
    Fit,
    Load,
    Method,
    NotSupply,
    Pattern,
    Ramp,
    Same,
    Signal,
    Statement,
    Supply,
)
from drc.intent.wording import one_of, refusal
from drc.quantity.span import Span
from drc.quantity.text import QuantityError, parse_span
from drc.quantity.unit import (
    AMPERE,
    CELSIUS,
    FARAD,
    HENRY,
    HERTZ,
    OHM,
    PER_KELVIN,
    POINT,
    RATIO,
    SECOND,
    VOLT,
    Unit,
)
from drc.trouble import Place

_EXPECTED: dict[str, Unit] = {
    "frequency": HERTZ, "period": SECOND, "pulse-width": SECOND, "delay": SECOND, "delay-rising": SECOND,
    "delay-falling": SECOND, "duty": POINT, "prescale": RATIO, "code": RATIO,
}  # fmt: skip
_STATES = {"polarity": ("normal", "inverted"), "rest": ("low", "high", "open")}
_METHODS: dict[str, Method] = {"extreme": "extreme", "rss": "rss", "monte-carlo": "monte-carlo"}
_VALUES = (OHM, FARAD, HENRY)


def build(form: Form, place: Place, text: str) -> Statement:
    """The statement of a form; `place` and `text` are the whole statement's. Raises StatementError."""
    if form.kind == "expect":
        return _expect(form, place, text)
    if form.kind == "accept":
        return _accept(form, place, text)
    if form.kind == "signal":
        return _signal(form, place, text)
    if form.kind == "assume":
        return _assume(form, place, text)
    if form.kind == "ambient":
        return Ambient(place, text, _span(_need(form, "span"), CELSIUS))
    name = _pattern(_need(form, "name"))
    if form.kind == "supply":
        return Supply(place, text, name, _span(_need(form, "span"), VOLT))
    if form.kind == "not_supply":
        return NotSupply(place, text, name)
    if form.kind == "ramp":
        return Ramp(place, text, name, _positive(_need(form, "span"), SECOND))
    if form.kind == "load":
        return Load(place, text, name, _positive(_need(form, "span"), AMPERE))
    if form.kind == "same":
        return Same(place, text, tuple(_pattern(piece) for piece in form.all("name")))
    if form.kind == "adjust":
        return Adjust(place, text, name, _positive(_need(form, "span"), *_VALUES))
    return Fit(place, text, name, _need(form, "answer").text.lower() == "yes")


def _expect(form: Form, place: Place, text: str) -> Expect:
    """`expect BLOCK QUANTITY WANTED [using METHOD] [when SUBJECT = LEVEL]`."""
    quantity, wanted = _need(form, "quantity"), _need(form, "wanted")
    name = quantity.text.lower()
    if name not in _EXPECTED and name not in _STATES:
        _refuse(quantity, [*_EXPECTED, *_STATES])
    level: Span | str
    if name in _STATES:
        level = wanted.text.lower()
        if level not in _STATES[name]:
            _refuse(wanted, _STATES[name])
    elif name == "duty":
        level = _duty(wanted)
    else:
        level = _positive(wanted, _EXPECTED[name])
    method = form.get("method")
    when = form.get("when")
    condition = None
    if when is not None:
        condition = Condition(_pattern(when), _level(_need(form, "level")))
    chosen = _METHODS[method.text.lower()] if method else None
    return Expect(place, text, _pattern(_need(form, "name")), name, level, chosen, condition)


def _duty(piece: Piece) -> Span:
    """A duty, written in percent or points, as points of duty (0..100)."""
    span = _span(piece, RATIO, POINT)
    if span.unit == POINT:
        return span
    nominal = None if span.nominal is None else span.nominal * 100
    return Span(span.low * 100, nominal, span.high * 100, POINT)


def _level(piece: Piece) -> Span | Literal["high", "low"]:
    """What a condition's net or output is at: a voltage, high or low."""
    word = piece.text.lower()
    if word == "high":
        return "high"
    if word == "low":
        return "low"
    if word[:1].isalpha():
        _refuse(piece, ["a voltage", "high", "low"])
    return _span(piece, VOLT)


def _signal(form: Form, place: Place, text: str) -> Signal:
    """`signal NET ITEM, ITEM ...`, each kind of item once."""
    items: dict[str, Span] = {}
    for role, piece in form.pieces[1:]:
        if role in items:
            raise StatementError(piece.start, len(piece.text), f'found a second "{role}", expected it once')
        items[role] = _span(piece, VOLT) if role == "voltage" else _positive(piece, SECOND)
    for role in ("high", "low"):
        within = form.get(role)
        if within is not None and "period" in items and items[role].low > items["period"].high:
            message = f'found "{within.text}", expected a {role} time within the period'
            raise StatementError(within.start, len(within.text), message)
    return Signal(place, text, _pattern(_need(form, "name")), **items)


def _assume(form: Form, place: Place, text: str) -> Assume:
    """`assume ELEMENT ITEM, ITEM ...`, each kind of item once."""
    seen: set[str] = set()
    for role, piece in form.pieces[1:]:
        if role in seen:
            raise StatementError(piece.start, len(piece.text), f'found a second "{role}", expected it once')
        seen.add(role)
    tolerance, tempco, value = form.get("tolerance"), form.get("tempco"), form.get("value")
    return Assume(
        place,
        text,
        _pattern(_need(form, "name")),
        tolerance=None if tolerance is None else _tolerance(tolerance),
        tempco=None if tempco is None else _tempco(tempco),
        tempco_signed=tempco is not None
        and tempco.text[0] in "+-\N{MINUS SIGN}"
        and "/" not in tempco.text[:3],
        value=None if value is None else _positive(value, *_VALUES),
    )


def _tolerance(piece: Piece) -> tuple[float, float]:
    """`1%` either way, `+/- 1%`, or `-20% .. 80%`: relative, low and high. A bare number is refused."""
    span = _span(piece, RATIO)
    if not piece.text.rstrip().endswith(("%", "m")):
        _refuse(piece, ["a tolerance in %", "in ppm"])
    low, high = (-abs(span.low), abs(span.high)) if span.low == span.high else (span.low, span.high)
    if not -1 <= low <= 0 <= high:
        raise StatementError(
            piece.start, len(piece.text), f'found "{piece.text}", expected a tolerance round 0'
        )
    return low, high


def _tempco(piece: Piece) -> float:
    """`100ppm` (either way), `+100ppm` or `-100ppm` (of known sign), also with /K; in 1/K."""
    span = _span(piece, RATIO, PER_KELVIN)
    if span.low == span.high:
        return span.low
    if span.nominal == 0 and span.high == -span.low:
        return span.high
    raise StatementError(
        piece.start, len(piece.text), f'found "{piece.text}", expected one tempco, such as 100ppm'
    )


def _accept(form: Form, place: Place, text: str) -> Accept:
    """`accept RULE at SUBJECT because REASON [by WHO] [until DATE]`."""
    by, until = form.get("by"), form.get("until")
    return Accept(
        place,
        text,
        _need(form, "name").text,
        _pattern(_need(form, "subject")),
        _need(form, "because").text,
        None if by is None else by.text,
        None if until is None else _date(until),
    )


def _date(piece: Piece) -> str:
    """An ISO 8601 calendar date."""
    from datetime import date

    try:
        return date.fromisoformat(piece.text).isoformat()
    except ValueError:
        _refuse(piece, ["a date such as 2027-03-31"])


def _need(form: Form, role: str) -> Piece:
    """The piece that the form of this kind always has."""
    piece = form.get(role)
    assert piece is not None
    return piece


def _pattern(piece: Piece) -> Pattern:
    """A name; a quoted one is literal."""
    return Pattern(piece.text, piece.quoted)


def _positive(piece: Piece, *units: Unit) -> Span:
    """A span that may not go below 0."""
    span = _span(piece, *units)
    if span.low < 0 and span.low != float("-inf"):
        raise StatementError(piece.start, len(piece.text), f'found "{piece.text}", expected nothing below 0')
    return span


def _span(piece: Piece, *units: Unit) -> Span:
    """A span in one of the units."""
    try:
        span = parse_span(piece.text)
    except QuantityError as error:
        message = f"found {error.found}, expected {error.expected}"
        length = max(1, len(error.found) - 2)
        raise StatementError(piece.start + error.column - 1, length, message) from None
    if span.unit not in units:
        shown = one_of(
            f"a quantity in {unit.symbol}" if unit.symbol else "a plain number or %" for unit in units
        )
        raise StatementError(piece.start, len(piece.text), f'found "{piece.text}", expected {shown}')
    return span


def _refuse(piece: Piece, expected: list[str] | tuple[str, ...]) -> NoReturn:
    raise StatementError(piece.start, len(piece.text), refusal(piece.text, expected))
