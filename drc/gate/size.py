"""The size command: what is wanted, read from the options, and the choices as a page."""

import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from drc.gate.commands import FOUND, PASSED
from drc.gate.output import page_width, print_page
from drc.gate.project import Request, open_reference
from drc.gate.refusal import refused
from drc.gate.search import project_root
from drc.gate.stock import read_stock
from drc.netlist.read import read_circuit
from drc.outcome import Sized
from drc.quantity.preferred import values as preferred
from drc.quantity.span import Span
from drc.quantity.text import QuantityError, parse_span
from drc.quantity.unit import CELSIUS, HERTZ, RATIO, SECOND, VOLT, Unit
from drc.repair.picking import Means, Point
from drc.repair.sizing import Choice, Wish, size
from drc.repair.stanza import RcValues
from drc.report.sizing import sizing_page

_STEER = re.compile(r"([^,]+?) at ([^,]+?) ?, ?([^,]+?) at ([^,]+)\Z")
_ROWS = 10
_LEAST, _MOST = 100.0, 10e6
"""Between which ohms preferred values are taken."""


class SizeRequest(NamedTuple):
    """The options as text, None where not given; `series` such as ("E24", "E96")."""

    quantity: str
    wanted: str | None
    part: str | None
    polarity: str | None
    duty: str | None
    steer: str | None
    supply: str | None
    ambient: str
    tolerance: str
    tempco: str
    series: Sequence[str]
    stock: str | None
    board: str | None


def run_size(asked: SizeRequest, request: Request) -> int:
    """Prints the choices; 1 where nothing fits that a review lets pass."""
    wish = _wish(asked)
    parts, rules = open_reference(request)
    if asked.part is not None and asked.part.lower() not in {name.lower() for name in parts.by_name}:
        raise refused("--part", f"no part {asked.part}: `tickproof parts` lists those in force")
    choices = size(wish, _means(asked), parts, rules, asked.part)
    passing = [choice for choice in choices if not choice.troubles and _holds(choice, wish)]
    shown = passing or choices
    print_page(
        sizing_page(tuple(_sized(choice) for choice in shown), page_width(sys.stdout), _ROWS), sys.stdout
    )
    return PASSED if passing else FOUND


def _holds(choice: Choice, wish: Wish) -> bool:
    """Whether what comes out stays within a wish that has a width of its own."""
    width = wish.wanted.high / wish.wanted.low
    within = wish.wanted.low <= choice.spans[0].low and choice.spans[0].high <= wish.wanted.high
    return wish.steering is not None or width == 1 or within


def _wish(asked: SizeRequest) -> Wish:
    """What is wanted. InputError names the option that cannot be read."""
    inverted = None if asked.polarity is None else asked.polarity == "inverted"
    duty = None if asked.duty is None else _one("--duty", asked.duty, RATIO)
    if duty is not None and not 0 < duty < 1:
        raise refused("--duty", f"found {asked.duty}, expected a duty between 0% and 100%")
    if asked.steer is not None:
        points = _steering(asked.steer)
        low, high = sorted(frequency for _, frequency in points)
        return Wish("frequency", Span(low, None, high, HERTZ), inverted, duty, points)
    option, unit = f"--{asked.quantity}", HERTZ if asked.quantity == "frequency" else SECOND
    wanted = _span(option, asked.wanted or "", unit)
    if not 0 < wanted.low <= wanted.high < float("inf"):
        raise refused(option, f"found {asked.wanted}, expected a positive value such as 10kHz or 15ms +/- 5%")
    return Wish(asked.quantity, wanted, inverted, duty)


def _steering(text: str) -> tuple[Point, Point]:
    """`2kHz at 0V, 1kHz at 2V` as two points."""
    match = _STEER.match(" ".join(text.split()))
    if match is None:
        raise refused("--steer", f'found "{text}", expected two points such as "2kHz at 0V, 1kHz at 2V"')
    f_one, v_one, f_two, v_two = match.groups()
    one = (_one("--steer", v_one, VOLT), _one("--steer", f_one, HERTZ))
    two = (_one("--steer", v_two, VOLT), _one("--steer", f_two, HERTZ))
    if (one[0] - two[0]) * (one[1] - two[1]) >= 0 or min(one[1], two[1]) <= 0:
        raise refused("--steer", f'found "{text}", expected a frequency that falls as the voltage rises')
    return one, two


def _means(asked: SizeRequest) -> Means:
    """What there is to build from."""
    if asked.stock is not None:
        stock = read_stock(Path(asked.stock))
    else:
        stock = tuple(preferred(_LEAST, _MOST, tuple(int(name[1:]) for name in asked.series)))
    return Means(
        values=stock,
        present=frozenset() if asked.board is None else _present(Path(asked.board)),
        supply=None if asked.supply is None else _span("--supply", asked.supply, VOLT),
        ambient=_span("--ambient", asked.ambient, CELSIUS),
        tolerance=_one("--tolerance", asked.tolerance, RATIO),
        tempco=_one("--tempco", asked.tempco, RATIO),
    )


def _present(path: Path) -> frozenset[float]:
    """The resistor values that a board already has."""
    whole = path.absolute()
    circuit = read_circuit(whole, project_root([whole], None))
    return frozenset(e.value for e in circuit.elements() if e.kind == "R" and e.value)


def _span(option: str, text: str, unit: Unit) -> Span:
    try:
        span = parse_span(text)
    except QuantityError as error:
        raise refused(option, f'found "{text}": {error}') from None
    if span.unit.dimension != unit.dimension:
        raise refused(option, f'found "{text}", expected a value in {unit.symbol or "percent"}')
    return span


def _one(option: str, text: str, unit: Unit) -> float:
    span = _span(option, text, unit)
    if span.low != span.high:
        raise refused(option, f'found "{text}", expected one value and no span')
    return span.low


def _sized(choice: Choice) -> Sized:
    """A choice as the page shows it."""
    values = choice.values
    return Sized(
        part=choice.part.name,
        prescale=choice.code.prescale,
        inverted=choice.code.inverted,
        timing=values.timing,
        strap=values.strap,
        spans=choice.spans,
        error=choice.error,
        margin=choice.margin,
        current=choice.current,
        new=choice.new,
        troubles=choice.troubles,
        netlist=choice.netlist,
        farad=values.farad if isinstance(values, RcValues) else None,
    )
