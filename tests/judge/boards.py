"""A board's text reviewed from end to end, for tests of rules."""

from functools import cache
from pathlib import Path

from drc.blocks.find import find_blocks
from drc.blocks.model import Parts
from drc.blocks.parts import load_parts
from drc.facts.book import Book
from drc.facts.catalogue import open_book
from drc.intent.read import join, read_annotations, read_statements
from drc.judge.assess import assess
from drc.judge.book import load_rules
from drc.judge.model import Assessment
from drc.judge.rule import RuleBook
from drc.netlist.read import read_circuit, read_text


@cache
def built_in_parts() -> Parts:
    """The part files that come with the package."""
    return load_parts([])


@cache
def built_in_rules() -> RuleBook:
    """The rules that come with the package."""
    return load_rules()


def book_of(text: str) -> Book:
    """The Book of a board with its `*@` statements."""
    circuit = read_text(text)
    return open_book(find_blocks(circuit, built_in_parts()), read_annotations(circuit.annotations))


@cache
def assessed(text: str) -> Assessment:
    """A board judged by the built-in rules."""
    return assess(book_of(text), built_in_rules())


@cache
def sample_boards() -> dict[str, Assessment]:
    """Every board of the samples, judged by the built-in rules, by its path."""
    root = Path(__file__).parents[2] / "samples"
    found = {}
    for path in sorted(root.rglob("*.cir")):
        circuit = read_circuit(path, root)
        beside = path.with_suffix(".intent")
        intents = [read_annotations(circuit.annotations)]
        if beside.exists():
            intents.insert(0, read_statements(beside.read_text(encoding="utf-8"), beside.name))
        book = open_book(find_blocks(circuit, built_in_parts()), join(*intents))
        found[path.name] = assess(book, built_in_rules())
    return found
