"""Names of the catalogue, until drc/facts/catalogue.py exists."""

from drc.facts.model import Entry
from drc.quantity.unit import AMPERE, CELSIUS, FARAD, HERTZ, OHM, POINT, RATIO, SECOND, STEP, VOLT

_N = {
    "block.part": "name",
    "block.function": "name",
    "block.found_by": "name",
    "block.intended": "truth",
    "ground.connected": "truth",
    "supply.voltage": VOLT,
    "supply.rated": VOLT,
    "supply.limit": VOLT,
    "supply.stated": "truth",
    "ambient.board": CELSIUS,
    "ambient.rated": CELSIUS,
    "strap.ratio": RATIO,
    "strap.code": RATIO,
    "strap.margin": STEP,
    "strap.neighbour": RATIO,
    "strap.off_centre": STEP,
    "strap.prescale": RATIO,
    "strap.polarity": "name",
    "strap.reserved": "truth",
    "strap.open": "truth",
    "strap.shorted": "truth",
    "strap.ratiometric": "truth",
    "strap.source_resistance": OHM,
    "strap.source_resistance_rated": OHM,
    "strap.settling": SECOND,
    "strap.read_after": SECOND,
    "strap.misread": RATIO,
    "rate.open": "truth",
    "rate.shorted": "truth",
    "rate.resistance": OHM,
    "rate.resistance_rated": OHM,
    "rate.current": AMPERE,
    "rate.current_rated": AMPERE,
    "rate.capacitance": FARAD,
    "rate.capacitance_rated": FARAD,
    "timing.frequency": HERTZ,
    "timing.period": SECOND,
    "timing.pulse_width": SECOND,
    "timing.delay": SECOND,
    "timing.delay_rising": SECOND,
    "timing.delay_falling": SECOND,
    "timing.duty": POINT,
    "timing.steering_low": HERTZ,
    "timing.steering_high": HERTZ,
    "output.source": AMPERE,
    "output.sink": AMPERE,
    "output.source_rated": AMPERE,
    "output.sink_rated": AMPERE,
    "output.rest": "name",
}
_O = {
    "expect.actual": ("statement", "any"),
    "expect.wanted": ("statement", "any"),
    "expect.method": ("statement", "name"),
    "line.message": ("line", "name"),
    "board.blocks": ("board", RATIO),
}
ENTRIES = tuple(
    [Entry(n, "block", k, n, None) for n, k in _N.items()]
    + [Entry(n, s, k, n, None) for n, (s, k) in _O.items()]
)
