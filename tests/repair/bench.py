"""A bench over a board's text alone, for the tests of what is tried on it."""

from pathlib import Path

from drc.blocks.model import Parts
from drc.blocks.parts import load_parts
from drc.facts.options import FactOptions
from drc.intent.read import read_annotations
from drc.judge.assess import assess
from drc.judge.book import load_rules
from drc.judge.model import Assessment, Edit
from drc.judge.rule import RuleBook
from drc.netlist.edit import edited
from drc.netlist.options import ReadOptions
from drc.quantity.text import parse_span
from drc.repair.pool import Pool
from drc.repair.restore import Restored, restore
from drc.repair.trial import Bench
from drc.repair.wanting import Wanted

PARTS: Parts = load_parts(())
RULES: RuleBook = load_rules(())
ROOT = Path("/boards")
BOARD = ROOT / "board.cir"
BILL = ROOT / "bom.csv"


def bench(text: str, stock: tuple[float, ...] = (), bom: str = "") -> Bench:
    """A bench with one board, whose statements are its own, and perhaps a bill of materials."""
    return Bench(
        path=BOARD,
        root=ROOT,
        reading=ReadOptions(source=lambda path: (text if path == BOARD else bom).encode()),
        parts=PARTS,
        stated=lambda circuit, source: read_annotations(circuit.annotations),
        options=FactOptions(),
        rules=RULES,
        bom=BILL if bom else None,
        pool=Pool(stock),
    )


def judged(text: str) -> Assessment:
    """A fresh review of a board's text."""
    return assess(bench(text).book(), RULES)


def faults(text: str) -> list[str]:
    """What a fresh review says against a board, notes left out."""
    return [f"{f.message} [{f.rule}]" for f in judged(text).findings if f.level != "note"]


def made(text: str, edits: tuple[Edit, ...]) -> str:
    """The text with edits made."""
    return edited(text.encode(), [(edit.token, edit.new) for edit in edits]).decode()


def want(path: str, quantity: str, value: str) -> Wanted:
    """A wanted quantity, in the words of a statement."""
    if value[0].isalpha():
        return Wanted(path, quantity, value)
    return Wanted(path, quantity, parse_span(value))


def restored(before: str, after: str, *wanted: Wanted, stock: tuple[float, ...] = ()) -> Restored:
    """What brings a board back, both given as text; the old blocks by their paths."""
    old = {block.path: block for block in bench(before).book().board.blocks}
    return restore(bench(after, stock), wanted, judged(before), old)
