"""Facts that are read in a part file as they stand."""

from drc.blocks.model import Block
from drc.facts.dependence import input_of
from drc.facts.model import Fact, Unknown
from drc.quantity.span import Span, exact
from drc.quantity.text import format_span
from drc.quantity.unit import RATIO, Unit


def rating(name: str, block: Block, what: str, value: Span | float | None, unit: Unit = RATIO) -> Fact:
    """A rating of the block's part; unknown, naming the part file's gap, where it is not given."""
    if value is None:
        part = block.part.name
        return Fact(name, Unknown(f"the part file of {part} gives no {what}", (f"{part} {what}",)))
    span = value if isinstance(value, Span) else exact(value, unit)
    evidence = input_of(f"{block.part.name} {what}", format_span(span), "part file", block.part.place)
    return Fact(name, span, f"{what} of {block.part.name}", (evidence,))
