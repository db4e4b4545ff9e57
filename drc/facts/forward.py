"""Forward drops of diodes, light-emitting diodes and base-emitter junctions."""

import re
from typing import NamedTuple

from drc.circuit.junctions import fitted
from drc.circuit.model import Element
from drc.facts.ambient import REFERENCE, ambient
from drc.facts.book import Book
from drc.facts.dependence import Dependence, combine, constant, input_of, varying
from drc.quantity.span import Span
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import AMPERE, VOLT

ROUND_AMPERE = 5e-3
"""The current round which a junction's exponential is taken as a straight piece, A: a usual drive."""

PER_KELVIN_V = 2e-3
"""Fall of a forward drop with temperature, V/K: common practice, no source."""

SLOPE_OHM = 1.0
"""Slope of a junction of which only a usual drop is known, ohm: of a few milliamperes, millivolts."""


class Usual(NamedTuple):
    """A usual forward drop: words that a part name carries, the span at `at_ampere`, the source."""

    words: tuple[str, ...]
    low_v: float
    high_v: float
    source: str


_CHART = "forward voltage charts of two hobby electronics sites, at 20 mA"

# A common drawing names its part by colour: LED_RED, RED_LED. Spans at 20 mA.
LED_DROPS: tuple[Usual, ...] = (
    Usual(("INFRARED", "IR"), 1.2, 1.6, _CHART),
    Usual(("RED",), 1.8, 2.2, _CHART),
    Usual(("ORANGE", "AMBER"), 2.0, 2.1, _CHART),
    Usual(("YELLOW",), 2.0, 2.2, _CHART),
    Usual(("GREEN",), 2.1, 3.5, _CHART),
    Usual(("BLUE",), 3.0, 3.6, _CHART),
    Usual(("WHITE",), 2.8, 3.6, _CHART),
    Usual(("UV",), 3.0, 4.4, _CHART),
)

SILICON = Usual(("",), 0.6, 0.8, "common practice, no source")
"""A silicon junction at milliamperes, where no model says more."""


def forward(book: Book, element: Element, at_ampere: float = ROUND_AMPERE) -> tuple[Dependence, float]:
    """Knee voltage (V) and slope (ohm) of a diode or base-emitter junction in its forward direction.

    By its model's IS, N and RS if it has one, as the straight piece that touches the curve at a current;
    else the usual drop of what its part name says. Less 2 mV for each kelvin above 25 degC.
    """
    name = f"{element.path} drop"
    model = element.model
    if model is None or model.parameters.get("is", 0.0) <= 0:
        usual = _usual(element)
        span = Span(usual.low_v, (usual.low_v + usual.high_v) / 2, usual.high_v, VOLT)
        evidence = input_of(name, format_span(span), f"usual forward drop ({usual.source})", element.place)
        note = f"{name} {format_span(span)} assumed"
        return _warmed(book, varying(name, span, evidence, assumptions=(note,))), SLOPE_OHM
    given = model.parameters
    knee = fitted(
        element.path,
        ("anode", "cathode"),
        saturation_a=given["is"],
        emission=given.get("nf" if element.kind == "Q" else "n", 1.0),
        series_ohm=given.get("re" if element.kind == "Q" else "rs", 0.0),
        at_a=at_ampere,
    )
    drop = format_value(knee.drop_v + knee.slope_ohm * at_ampere, VOLT)
    shown = f"{drop} at {format_value(at_ampere, AMPERE)}"
    evidence = input_of(name, shown, f"model {model.name}", model.place)
    return _warmed(book, constant(knee.drop_v, VOLT, evidence, text=name)), knee.slope_ohm


def _warmed(book: Book, drop: Dependence) -> Dependence:
    """The drop over ambient."""
    warm = ambient(book)
    if not warm.causes:
        return drop
    return combine(
        lambda volts, celsius: volts - PER_KELVIN_V * (celsius - REFERENCE),
        drop, warm, unit=VOLT, text=drop.text,
    )  # fmt: skip


def _usual(element: Element) -> Usual:
    """The usual drop that the words of a part name point to."""
    words = re.split(r"[^A-Z]+", (element.part or "").upper())
    if "LED" in words or element.path.rpartition(".")[2].upper().startswith("LED"):
        for usual in LED_DROPS:
            if any(word in words for word in usual.words):
                return usual
        return Usual((), LED_DROPS[0].low_v, LED_DROPS[-1].high_v, "any colour of the charts")
    return SILICON
