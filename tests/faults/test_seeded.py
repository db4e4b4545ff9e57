"""Boards made from the wanted answer are silent; a planted mistake is found by its own rule alone."""

from functools import cache
from itertools import count, islice
from pathlib import Path
from random import Random

import pytest

from drc.blocks.find import find_blocks
from drc.blocks.parts import load_parts
from drc.facts.catalogue import open_book
from drc.intent.read import read_annotations
from drc.judge.assess import assess
from drc.judge.book import load_rules
from drc.judge.model import Assessment
from drc.judge.rule import RuleBook
from drc.netlist.read import read_text
from tests.faults.boards import FAULTS as OF_VALUES
from tests.faults.boards import Good, draw_board
from tests.faults.makers import draw_part
from tests.faults.wiring_faults import WIRING

FAULTS = {**OF_VALUES, **WIRING}

GOOD = range(120)
TRIED = 6
"""Boards that each mistake is planted on."""


@cache
def rules() -> RuleBook:
    """The built-in rules."""
    return load_rules()


def made(seed: int) -> Good:
    """The good board of a seed, with a part of its own."""
    rng = Random(seed)
    return draw_board(rng, draw_part(rng, f"ZZ{seed:03d}"))


def judged(good: Good, text: str, folder: Path) -> Assessment:
    """A board judged with its own part file."""
    path = folder / "part.toml"
    path.write_text(good.spec.toml(), encoding="utf-8")
    circuit = read_text(text)
    return assess(
        open_book(find_blocks(circuit, load_parts([path])), read_annotations(circuit.annotations)), rules()
    )


def spoken(assessment: Assessment) -> dict[str, str]:
    """Message by rule, of every finding above a note."""
    return {f.rule: f.message for f in assessment.findings if f.level != "note"}


@pytest.mark.parametrize("seed", GOOD)
def test_a_good_board_is_silent(seed: int, tmp_path: Path) -> None:
    """A board made from the answer gives no finding but notes, and nothing else in its tally fails."""
    good = made(seed)
    assessment = judged(good, good.text(), tmp_path)
    assert [(f.rule, f.message) for f in assessment.findings if f.level != "note"] == []
    noted = {f.rule for f in assessment.findings}
    assert [e for e in assessment.tally if e.verdict in ("fail", "at-risk") and e.rule not in noted] == []


@pytest.mark.parametrize("name", sorted(FAULTS))
def test_a_planted_mistake_is_found_by_its_own_rule_and_no_stranger(name: str, tmp_path: Path) -> None:
    """On boards that can have it, the mistake's own rule speaks, and only its consequences beside it."""
    fault = FAULTS[name]
    boards = ((seed, made(seed)) for seed in count(1000 * sorted(FAULTS).index(name)))
    planted = ((seed, good, text) for seed, good in boards if (text := fault.plant(good)) is not None)
    for seed, good, text in islice(planted, TRIED):
        found = spoken(judged(good, text, tmp_path))
        assert fault.rule in found, f"seed {seed}: {name} is not found by {fault.rule}: {found}\n{text}"
        strangers = {rule: found[rule] for rule in found.keys() - fault.consequences - {fault.rule}}
        assert not strangers, f"seed {seed}: {name} also gives {strangers}\n{text}"
