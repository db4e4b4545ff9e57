"""Edge delays: how long after an input's edge the output answers, and which pulses get through."""

import numpy as np

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.clock import Edge, counted, each, edge_timing, with_offset
from drc.facts.dependence import Dependence, Quantity, States, constant, lift, missing, varying
from drc.facts.model import Unknown
from drc.facts.pulse_train import pulse_train
from drc.quantity.unit import SECOND


def delayed_edges(block: Block) -> str | Unknown:
    """The input edges that the part delays: `rising`, `falling` or `both`."""
    signal = block.part.signal
    if signal is None or signal.edges is None:
        because = f"part {block.part.name} does not say which edges it delays"
        return Unknown(because, (f"{block.part.name} signal.edges",))
    return signal.edges


def delay_rising(book: Book, block: Block) -> Quantity:
    """From a rising edge of the input to the output's answer, s."""
    return _delay(book, block, "rising")


def delay_falling(book: Book, block: Block) -> Quantity:
    """From a falling edge of the input to the output's answer, s."""
    return _delay(book, block, "falling")


def delay(book: Book, block: Block) -> Quantity:
    """The delay of the edges that are delayed, s: two states where the part treats the edges apart."""
    edges = delayed_edges(block)
    if isinstance(edges, Unknown):
        return edges
    rising, falling = delay_rising(book, block), delay_falling(book, block)
    if edges != "both":
        return rising if edges == "rising" else falling
    timing = block.part.timing
    if timing is None or (timing.rising is None and timing.falling is None):
        return rising
    unknown = missing(rising, falling)
    if unknown is not None:
        return unknown
    return States(
        tuple(
            (((("edge"), edge), *conditions), state)
            for edge, quantity in (("rising", rising), ("falling", falling))
            for conditions, state in _states(quantity)
        )
    )


def pulse_slack(book: Book, block: Block) -> Quantity:
    """By how much the input's pulses outlast the delay, s: what is negative never reaches the output.

    High pulses against the delay of rising edges, low ones against that of falling edges, the worse.
    """
    edges, net = delayed_edges(block), block.net("signal")
    if isinstance(edges, Unknown):
        return edges
    if net is None:
        return Unknown(f"{block.path} has no signal pin", ("signal pin",))
    train = pulse_train(book, net)
    margins: list[Quantity] = []
    for edge, level, delayed in (
        ("rising", "high", delay_rising(book, block)),
        ("falling", "low", delay_falling(book, block)),
    ):
        if edges not in (edge, "both"):
            continue
        length = train.high if level == "high" else train.low
        if length is None:
            because = f"nothing states how long {net.name} stays {level}"
            return Unknown(because, (f"signal {net.name} {level}",))
        pulse = varying(f"{net.name} {level}", length, *train.inputs, bias=True)
        margins.append(
            lift(np.subtract, pulse, delayed, unit=SECOND, text=f"{level} time - delay of {edge} edges")
        )
    if len(margins) == 1:
        return margins[0]
    return lift(np.minimum, *margins, unit=SECOND, text="the smaller of high and low time, less the delay")


def _delay(book: Book, block: Block, edge: Edge) -> Quantity:
    """The delay of one edge; an edge that passes takes the part's offset alone."""
    edges, timing = delayed_edges(block), edge_timing(block, edge)
    if isinstance(edges, Unknown):
        return edges
    if isinstance(timing, Unknown):
        return timing
    if edges in (edge, "both"):
        return each(counted(book, block, edge), lambda time: with_offset(block, timing, time))
    if timing.offset is None:
        because = f"part {block.part.name} passes {edge} edges without delay, and gives no offset"
        return Unknown(because, (f"{block.part.name} timing.offset",))
    return with_offset(block, timing, constant(0.0, SECOND, text=f"{edge} edges pass undelayed: 0 s"))


def _states(quantity: Quantity) -> tuple[tuple[tuple[tuple[str, str], ...], Dependence], ...]:
    """A quantity's states, or the one that it has."""
    if isinstance(quantity, States):
        return quantity.states
    return (((), quantity),) if isinstance(quantity, Dependence) else ()
