"""Which block of a board answers to which of another: by name, and by wiring where they were renumbered."""

import re
from collections import Counter
from collections.abc import Mapping
from typing import Literal, NamedTuple

from drc.blocks.model import Block, Board
from drc.circuit.model import Element

By = Literal["name", "wiring"]

_NAME_IN_TEXT = re.compile(r"[\w$+/-]+(?:\.[\w$+/-]+)*")

SAME_WORK = {"slow-oscillator": "oscillator", "astable": "oscillator"}
"""What does the same as another."""

_NAME, _LAST, _NET, _PART, _WORK = 3.0, 1.0, 2.0, 1.0, 2.0
"""What speaks for a pair: the same path, its last component, a net of the same role, part, function."""

_ALIKE = 0.5
"""The share of the elements about two blocks that must be alike where no name speaks for the pair."""


class Pair(NamedTuple):
    """A block of the board before and the one that answers to it after; a side is None where none does."""

    before: Block | None
    after: Block | None
    by: By | None


class Matched(NamedTuple):
    """Blocks in pairs, in the order of the board before, then what is new.

    `elements` (blocks too) and `nets` give, for each name before (in lower case) that is another after, what
    it is after.
    """

    pairs: tuple[Pair, ...]
    elements: Mapping[str, str] = {}
    nets: Mapping[str, str] = {}

    def after(self, name: str) -> str:
        """What a block, an element or a net of the board before is called after."""
        return self.elements.get(name.casefold()) or self.net(name)

    def net(self, name: str) -> str:
        """What a net of the board before is called after."""
        return self.nets.get(name.casefold(), name)

    def subject(self, subject: str) -> str:
        """What a rule spoke of, with each of its names as it is after."""
        return " ".join(map(self.after, subject.split(" ")))

    def message(self, message: str) -> str:
        """What was said, with each of its names as it is after."""
        if not self.elements and not self.nets:
            return message
        return _NAME_IN_TEXT.sub(lambda found: self.after(found.group()), message)


class _Evidence(NamedTuple):
    """What a block shows beside its name: its net by role, and the elements on each with their values."""

    nets: Mapping[str, str]
    near: Mapping[str, Counter[tuple[str, str]]]


def block_pairs(before: Board, after: Board) -> tuple[Pair, ...]:
    """The blocks of two boards in pairs: those first for which most speaks."""
    old, new = ([(block, _evidence(block)) for block in board.blocks] for board in (before, after))
    scored = sorted(
        (-score, i, j)
        for i, (block, shown) in enumerate(old)
        for j, (other, seen) in enumerate(new)
        if (score := _score(block, shown, other, seen)) is not None
    )
    partner: dict[int, int] = {}
    taken: set[int] = set()
    for _, i, j in scored:
        if i not in partner and j not in taken:
            partner[i] = j
            taken.add(j)
    pairs = [_pair(block, new[partner[i]][0] if i in partner else None) for i, (block, _) in enumerate(old)]
    return (*pairs, *(Pair(None, block, None) for j, (block, _) in enumerate(new) if j not in taken))


def _pair(block: Block, other: Block | None) -> Pair:
    if other is None:
        return Pair(block, None, None)
    return Pair(block, other, "name" if block.path.casefold() == other.path.casefold() else "wiring")


def _evidence(block: Block) -> _Evidence:
    """What stands on a block's pins, its supply and ground apart, which it shares with all others."""
    own = {role: nets[0] for role, nets in block.pins.items() if role not in ("supply", "ground") and nets}
    near = {
        role: Counter(_described(pin.element) for pin in net.pins() if pin.element != block.element)
        for role, net in own.items()
        if not net.is_ground
    }
    return _Evidence({role: net.name.casefold() for role, net in own.items() if not net.is_ground}, near)


def _described(element: Element) -> tuple[str, str]:
    """An element without its name: its letter, and its value or part."""
    value = element.value
    return element.kind, f"{value:.6g}" if value is not None else (element.part or "").casefold()


def _score(one: Block, shown: _Evidence, other: Block, seen: _Evidence) -> float | None:
    """How much speaks for a pair; None where too little does."""
    named = one.path.casefold() == other.path.casefold()
    works = [SAME_WORK.get(block.part.function, block.part.function) for block in (one, other)]
    if works[0] != works[1] and not named:
        return None
    nets = sum(shown.nets[role] == seen.nets[role] for role in shown.nets if role in seen.nets)
    alike, all_of = 0.0, 0
    for role in shown.near.keys() & seen.near.keys():
        here, there = shown.near[role], seen.near[role]
        kinds = [Counter(kind for kind, _ in side.elements()) for side in (here, there)]
        alike += ((here & there).total() + (kinds[0] & kinds[1]).total()) / 2
        all_of += max(here.total(), there.total())
    if not named and not nets and (not all_of or alike < _ALIKE * all_of):
        return None
    last = one.path.rpartition(".")[2].casefold() == other.path.rpartition(".")[2].casefold()
    same_part = one.part.name.casefold() == other.part.name.casefold()
    return (
        _NAME * named
        + _LAST * last
        + _NET * nets
        + _PART * same_part
        + _WORK * (works[0] == works[1])
        + alike
    )
