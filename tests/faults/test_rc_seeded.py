"""RC timers made from the wanted time are silent; a planted mistake is found by its own rule alone."""

from itertools import count, islice
from pathlib import Path
from random import Random

import pytest

from drc.blocks.find import find_blocks
from drc.blocks.parts import load_parts
from drc.facts.catalogue import open_book
from drc.intent.read import read_annotations
from drc.judge.assess import assess
from drc.netlist.read import read_text
from tests.faults.rc_boards import RC_FAULTS, Timer, draw_timer
from tests.judge.boards import built_in_rules

GOOD = range(60)
TRIED = 5
"""Boards that each mistake is planted on."""


def made(seed: int) -> Timer:
    """The good board of a seed, with a part of its own."""
    return draw_timer(Random(seed), f"ZT{seed:03d}")


def spoken(timer: Timer, text: str, folder: Path) -> dict[str, str]:
    """Message by rule, of every finding above a note, on a board judged with its own part file."""
    path = folder / "part.toml"
    path.write_text(timer.toml, encoding="utf-8")
    circuit = read_text(text)
    board = find_blocks(circuit, load_parts([path]))
    judged = assess(open_book(board, read_annotations(circuit.annotations)), built_in_rules())
    return {f.rule: f.message for f in judged.findings if f.level != "note"}


@pytest.mark.parametrize("seed", GOOD)
def test_a_good_timer_is_silent(seed: int, tmp_path: Path) -> None:
    """A timer made from the answer gives no error and no warning."""
    timer = made(seed)
    assert spoken(timer, timer.text(), tmp_path) == {}


@pytest.mark.parametrize("name", sorted(RC_FAULTS))
def test_a_planted_mistake_is_found_by_its_own_rule_and_no_stranger(name: str, tmp_path: Path) -> None:
    """On timers that can have it, the mistake's own rule speaks, and only its consequences beside it."""
    plant, rule, consequences = RC_FAULTS[name]
    timers = ((seed, made(seed)) for seed in count(1000 * sorted(RC_FAULTS).index(name)))
    planted = ((seed, timer, text) for seed, timer in timers if (text := plant(timer)) is not None)
    for seed, timer, text in islice(planted, TRIED):
        found = spoken(timer, text, tmp_path)
        assert rule in found, f"seed {seed}: {name} is not found by {rule}: {found}\n{text}"
        strangers = {each: found[each] for each in found.keys() - consequences - {rule}}
        assert not strangers, f"seed {seed}: {name} also gives {strangers}\n{text}"
