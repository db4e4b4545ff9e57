"""Facts about the strap pin."""

import math
from collections.abc import Callable

import numpy as np

from drc.blocks.model import Block, StrapPin
from drc.circuit.spread import Sampling, samples, share_interval
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.dependence import Dependence, canonical, combine, fact, input_of, missing, varying
from drc.facts.model import Entry, Fact, Input, Unknown
from drc.facts.rails import anchor, own_rails
from drc.facts.ratings import rating
from drc.facts.settling import settling
from drc.facts.strap import code_row, strap_code, strap_network, strap_pin, strap_ratio, strap_reading
from drc.quantity.span import Span, exact
from drc.quantity.unit import OHM, RATIO, SECOND, STEP

Distance = Callable[[StrapPin, int, float], float]
"""Pin, code and ratio to a distance in fractions of full scale."""


def strap_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about the strap pin."""
    return (
        line("strap.ratio", RATIO, "strap voltage over the converter's reference", _ratio),
        line("strap.code", RATIO, "code in whose interval the nominal ratio lies", _code),
        line("strap.margin", STEP, "distance to the nearer threshold of the code, less its error", _margin),
        line("strap.neighbour", RATIO, "code on the other side of the nearer threshold", _neighbour),
        line("strap.off_centre", STEP, "signed distance of the ratio from its code's middle", _off_centre),
        line("strap.prescale", RATIO, "integer that multiplies the master period", _prescale),
        line("strap.polarity", "name", "normal or inverted", _polarity),
        line("strap.reserved", "truth", "whether the code table leaves the code out", _reserved),
        line("strap.open", "truth", "whether nothing sets the strap pin", _open),
        line("strap.shorted", "truth", "whether it is joined to another net than supply or ground", _shorted),
        line("strap.ratiometric", "truth", "whether it hangs on the block's own supply and ground", _own),
        line("strap.source_resistance", OHM, "source resistance of the strap network", _resistance),
        line("strap.source_resistance_rated", OHM, "most that the strap pin wants to see", _resistance_rated),
        line("strap.settling", SECOND, "time until the ratio is past the last threshold", _settling),
        line("strap.read_after", SECOND, "time after which the part reads the strap", _read_after),
        line("strap.misread", RATIO, "share of boards that read another code", _misread),
    )


def _ratio(book: Book, block: Block, name: str) -> Fact:
    """As a span."""
    found = book.once(("strap span", block.path), lambda: fact(name, strap_ratio(book, block), book.options))
    return Fact(name, found) if isinstance(found, Unknown) else found


def _code(book: Book, block: Block, name: str) -> Fact:
    """As a number."""
    found = strap_reading(book, block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    law = "the number of thresholds at or below the nominal ratio"
    return Fact(name, exact(float(found.code)), law, found.ratio.inputs, found.ratio.assumptions)


def interval(pin: StrapPin, code: int) -> tuple[float, float]:
    """The thresholds on both sides of a code; the rails, 0 and 1, bound the end codes."""
    edges = (0.0, *pin.thresholds, 1.0)
    return edges[code], edges[code + 1]


def _in_steps(book: Book, block: Block, name: str, law: Distance, text: str) -> Fact:
    """A distance of the ratio from something about its nominal code, in widths of that code.

    The distance bends at the middle of the code and is straight on either side, so its extremes lie there
    or at the ends of the ratio.
    """
    found, ratio = strap_reading(book, block), _ratio(book, block, "strap.ratio")
    if isinstance(found, Unknown):
        return Fact(name, found)
    if ratio.span is None:
        return Fact(name, ratio.value)
    pin, code = found.pin, found.code
    low, high = interval(pin, code)
    least, nominal, most = ratio.span.low, ratio.span.middle, ratio.span.high
    places = (least, nominal, most, min(max((low + high) / 2, least), most))
    steps = [law(pin, code, place) / (high - low) for place in places]
    value = Span(min(steps), steps[1], max(steps), STEP)
    return Fact(name, value, text, (*ratio.inputs, _thresholds(block, pin)), ratio.assumptions)


def _thresholds(block: Block, pin: StrapPin) -> Input:
    """The converter's levels and their error as evidence."""
    error = "unknown" if pin.threshold_error is None else f"+/- {100 * pin.threshold_error:.4g} %"
    text = f"{pin.levels} levels, {error} of full scale"
    return input_of(f"{block.part.name} strap thresholds", text, "part file", block.part.place)


def _margin(book: Book, block: Block, name: str) -> Fact:
    """min(r - lower, upper - r) of the nominal code less the threshold error; a rail is no threshold."""
    pin = strap_pin(block)
    if not isinstance(pin, Unknown) and pin.threshold_error is None:
        what = f"{block.part.name} strap threshold_error"
        return Fact(name, Unknown(f"the part file of {block.part.name} gives no threshold error", (what,)))

    def law(pin: StrapPin, code: int, ratio: float) -> float:
        return min(_distances(pin, code, ratio)) - (pin.threshold_error or 0.0)

    text = "min(r - lower threshold, upper threshold - r) - threshold error, in widths of the code"
    return _in_steps(book, block, name, law, text)


def _distances(pin: StrapPin, code: int, ratio: float) -> tuple[float, float]:
    """Distances above the lower and below the upper threshold; infinite where a rail is the bound."""
    low, high = interval(pin, code)
    return (
        ratio - low if code > 0 else math.inf,
        high - ratio if code < len(pin.thresholds) else math.inf,
    )


def _neighbour(book: Book, block: Block, name: str) -> Fact:
    """By the nominal ratio."""
    found = strap_reading(book, block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    pin, ratio, code = found
    below, above = _distances(pin, code, ratio.nominal)
    return Fact(name, exact(float(code - 1 if below < above else code + 1)), "the nearer code")


def _off_centre(book: Book, block: Block, name: str) -> Fact:
    """(r - middle) in widths of the code."""

    def law(pin: StrapPin, code: int, ratio: float) -> float:
        return ratio - sum(interval(pin, code)) / 2

    return _in_steps(book, block, name, law, "(r - middle of the code) / width of the code")


def _prescale(book: Book, block: Block, name: str) -> Fact:
    """By the code table."""
    row = code_row(book, block)
    if isinstance(row, Unknown):
        return Fact(name, row)
    return Fact(name, exact(float(row.prescale)), f"code table of {block.part.name}, code {row.code}")


def _polarity(book: Book, block: Block, name: str) -> Fact:
    """By the code table."""
    row = code_row(book, block)
    if isinstance(row, Unknown):
        return Fact(name, row)
    law = f"code table of {block.part.name}, code {row.code}"
    return Fact(name, "inverted" if row.inverted else "normal", law)


def _reserved(book: Book, block: Block, name: str) -> Fact:
    """No row of the code table has the code."""
    code = strap_code(book, block)
    if isinstance(code, Unknown):
        return Fact(name, code)
    if not block.part.codes:
        what = f"{block.part.name} codes"
        return Fact(name, Unknown(f"the part file of {block.part.name} has no code table", (what,)))
    return Fact(name, all(row.code != code for row in block.part.codes), f"code table of {block.part.name}")


def _open(book: Book, block: Block, name: str) -> Fact:
    """No path to a net that is held."""
    ohm = _ohm(book, block)
    return Fact(
        name, ohm if isinstance(ohm, Unknown) else bool(np.isinf(ohm)), "no path to a net that is held"
    )


def _ohm(book: Book, block: Block) -> float | Unknown:
    """Nominal source resistance, ohm."""
    network = strap_network(book, block)
    if isinstance(network, Unknown):
        return network
    ohm = network.resistance
    if isinstance(ohm, Dependence):
        return ohm.nominal
    return ohm if isinstance(ohm, Unknown) else max(each.nominal for _, each in ohm.states)


def _shorted(book: Book, block: Block, name: str) -> Fact:
    """No resistance to a held net that is neither the block's supply nor its ground."""
    ohm, own = _ohm(book, block), _foreign(book, block)
    if isinstance(ohm, Unknown) or isinstance(own, Unknown):
        return Fact(name, missing(ohm, own) or Unknown("unknown strap"))
    return Fact(
        name, ohm == 0 and bool(own), "joined without resistance to a net that is not the block's own"
    )


def _foreign(book: Book, block: Block) -> tuple[str, ...] | Unknown:
    """The held nets that the strap network ends on, beside the block's own supply and ground."""
    network = strap_network(book, block)
    if isinstance(network, Unknown):
        return network
    own = own_rails(book, block)
    nets = {name: book.board.circuit.net(name) for name in network.rails}
    return tuple(name for name, net in nets.items() if net is None or anchor(book, net) not in own)


def _own(book: Book, block: Block, name: str) -> Fact:
    """Every end of the network is on the block's supply or ground, a filter resistor apart."""
    foreign = _foreign(book, block)
    if isinstance(foreign, Unknown):
        return Fact(name, foreign)
    pin = strap_pin(block)
    if not isinstance(pin, Unknown) and pin.reference is not None:
        return Fact(name, True, "the converter has a reference of its own")
    law = f"the strap network also ends on {', '.join(foreign)}" if foreign else "it ends on the block's own"
    return Fact(name, not foreign, law)


def _resistance(book: Book, block: Block, name: str) -> Fact:
    """As a span; unknown where it is infinite."""
    network = strap_network(book, block)
    if isinstance(network, Unknown):
        return Fact(name, network)
    ohm = _ohm(book, block)
    if not isinstance(ohm, Unknown) and np.isinf(ohm):
        what = f"{block.path} strap resistors"
        return Fact(name, Unknown(f"the strap pin of {block.path} is open", (what,)))
    return fact(name, network.resistance, book.options, text="R_th of the network on the strap pin")


def _resistance_rated(_: Book, block: Block, name: str) -> Fact:
    """Of the part."""
    given = block.part.strap.source_resistance if block.part.strap else None
    return rating(name, block, "strap source_resistance", given, OHM)


def _settling(book: Book, block: Block, name: str) -> Fact:
    """As a span."""
    return fact(name, settling(book, block), book.options)


def _read_after(_: Book, block: Block, name: str) -> Fact:
    """Of the part."""
    given = block.part.strap.read_after if block.part.strap else None
    return rating(name, block, "strap read_after", given, SECOND)


def _misread(book: Book, block: Block, name: str) -> Fact:
    """The share of draws that read another code, at the worst corner of supply and ambient."""
    found = strap_reading(book, block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    pin, ratio, code = found
    if pin.threshold_error is None:
        what = f"{block.part.name} strap threshold_error"
        return Fact(name, Unknown(f"the part file of {block.part.name} gives no threshold error", (what,)))
    label = f"{block.path} threshold error"
    error = Span(-pin.threshold_error, 0.0, pin.threshold_error)
    evidence = input_of(
        label, f"+/- {100 * pin.threshold_error:.4g} % of full scale", "part file", block.part.place
    )
    seen = combine(np.add, ratio, varying(label, error, evidence), unit=RATIO)
    low, high = interval(pin, code)
    low = -np.inf if code == 0 else low
    high = np.inf if code == len(pin.thresholds) else high
    options = book.options
    sampling = Sampling(options.draws, options.seed, name, options.convention)
    corners = samples(*canonical(seen), sampling)
    # A draw without a value, two rails joined, is not read as this code either.
    hits = max(int(np.count_nonzero(~((low <= drawn) & (drawn < high)))) for drawn in corners)
    floor, ceiling = share_interval(hits, options.draws)
    law = f"{hits} of {options.draws} draws read another code; 95 % interval, seed {options.seed}"
    return Fact(name, Span(floor, hits / options.draws, ceiling), law, seen.inputs, seen.assumptions)
