"""How every fact of a block came about: its value, law, inputs and assumptions."""

from drc.facts.model import Fact
from drc.outcome import BlockOutcome
from drc.report.text import Piece, Row, harmless, row, value_text, wrapped


def explain(outcome: BlockOutcome, width: int) -> list[Row]:
    """The derivation of each fact of the block, in the order of the catalogue."""
    block = outcome.block
    head = f"{block.path}: {block.part.name}, {block.part.function}, found by {block.found_by}"
    rows = [row(Piece(harmless(head), "heading"))]
    for fact in outcome.facts.values():
        rows += _fact(fact, width)
    return rows


def _fact(fact: Fact, width: int) -> list[Row]:
    """One fact: name and value, then law, inputs and assumptions, indented."""
    lines = wrapped(f"{fact.name} = {harmless(value_text(fact))}", width - 4)
    rows = [row("  ", Piece(lines[0], "name")), *(row("    ", line) for line in lines[1:])]
    notes = [f"law: {fact.law}"] if fact.law else []
    for entry in fact.inputs:
        place = f", {entry.place}" if entry.place is not None else ""
        notes.append(f"from {entry.label} = {entry.value} ({entry.origin}{place})")
    notes += [f"assumed: {text}" for text in fact.assumptions]
    for note in notes:
        first, *rest = wrapped(harmless(note), width - 8)
        rows += [row("    ", Piece(first, "quiet")), *(row("      ", Piece(line, "quiet")) for line in rest)]
    return rows
