"""Pulse modulators: the duty that the modulate pin's voltage sets."""

from typing import TYPE_CHECKING

import numpy as np

from drc.blocks.model import Block, Modulation
from drc.circuit.laws import duty_points
from drc.facts.book import Book
from drc.facts.clock import settings_in_force
from drc.facts.dependence import Quantity, constant, input_of, lift, varying
from drc.facts.model import Unknown
from drc.facts.rails import ground_voltage, rate_voltage, supply_voltage
from drc.facts.region import node_voltage
from drc.quantity.span import Span
from drc.quantity.unit import POINT, RATIO, VOLT

if TYPE_CHECKING:
    from drc.circuit.laws import Array


def duty(book: Book, block: Block) -> Quantity:
    """Share of the period that the output is high, points (50 is half); inverted polarity turns it round."""
    law, row = block.part.modulate, settings_in_force(book, block)
    if law is None:
        return Unknown(f"part {block.part.name} gives no modulate law", (f"{block.part.name} modulate",))
    if law.error is None:
        because = f"part {block.part.name} gives no error of its duty"
        return Unknown(because, (f"{block.part.name} modulate.error",))
    if isinstance(row, Unknown):
        return row
    error = varying(f"{block.path} duty error", Span(-law.error, 0.0, law.error, RATIO))
    if not law.error:
        error = constant(0.0, RATIO)

    def points(level: "Array", off: "Array") -> "Array":
        value = duty_points(level, law.points, off)
        return 100 - value if row.inverted else value

    (x0, d0), (x1, d1) = law.points[0], law.points[-1]
    ends = f"{x0:.4g} -> {100 * d0:.4g} %, {x1:.4g} -> {100 * d1:.4g} %"
    turned = ", turned round by inverted polarity" if row.inverted else ""
    return lift(
        points,
        modulate_level(book, block, law),
        error,
        unit=POINT,
        text=f"D = straight between ({ends}) at {_LEVELS[law.reference]} + error, clamped there{turned}",
        inputs=(
            input_of(
                f"{block.part.name} duty error",
                f"+/- {100 * law.error:.4g} points",
                "part file",
                block.part.place,
            ),
        ),
    )


_LEVELS = {"absolute": "V(modulate)", "rate": "V(modulate) / V_rate", "supply": "V(modulate) / V(supply)"}
"""What a part's modulate law is a function of."""


def modulate_level(book: Book, block: Block, law: Modulation) -> Quantity:
    """The modulate pin's level as a law reads it: V, or a fraction of the rate voltage or the supply."""
    volts = modulate_voltage(book, block)
    if law.reference == "absolute":
        return volts
    against = supply_voltage(book, block) if law.reference == "supply" else rate_voltage(block)
    return lift(np.divide, volts, against, unit=RATIO, text=_LEVELS[law.reference])


def modulate_voltage(book: Book, block: Block) -> Quantity:
    """Voltage of the modulate pin against the block's ground, its leakage included, V."""
    net = block.net("modulate")
    if net is None:
        return Unknown(f"{block.path} has no modulate pin", ("modulate pin",))
    volts, ground = node_voltage(book, net), ground_voltage(book, block)
    return lift(np.subtract, volts, ground, unit=VOLT, text="V(modulate)")
