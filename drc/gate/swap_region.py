"""Whether anything about a block is other than it was: what hangs on its pins, out to rails and ground."""

from drc.blocks.model import Block, Board
from drc.circuit.model import Element, Net
from drc.gate.swap_match import Matched

MOST = 2000
"""Elements that are looked at; a region beyond that is not called untouched."""

_Seen = frozenset[tuple[object, ...]]


def untouched(before: Board, old: Block, after: Board, new: Block, match: Matched) -> bool:
    """Whether the block is the same part, and all that can act on its pins is what it was, name by name."""
    if old.part != new.part:
        return False
    was, now = _region(before, old, match), _region(after, new, Matched(()))
    return was is not None and was == now


def _region(board: Board, block: Block, match: Matched) -> _Seen | None:
    """What hangs on a block's pins, in the names of the board after; None where it is too much to say.

    It ends at ground and at rails, the nets of supply pins: of those, what feeds them is looked at.
    """
    rails = {
        net.name
        for each in (*board.blocks, *board.helpers)
        for role in ("supply", "input")
        for net in each.pins.get(role, ())
    }
    seen: dict[Element, tuple[object, ...]] = {}
    waiting: list[Net] = [net for nets in block.pins.values() for net in nets]
    known = {net.name for net in waiting}
    feeders = {each.element for each in board.helpers}
    while waiting:
        net = waiting.pop()
        if net.is_ground:
            continue
        for pin in net.pins():
            element = pin.element
            if element in seen or (net.name in rails and element.kind not in "VI" and element not in feeders):
                continue
            if len(seen) == MOST:
                return None
            nets = [match.net(each.name).casefold() for each in element.nets]
            value = element.value if element.value is not None else (element.part or "").casefold()
            path = match.after(element.path).casefold()
            seen[element] = (path, element.kind, value, *(sorted(nets) if element.kind in "RCL" else nets))
            if net.name not in rails:
                waiting += [each for each in element.nets if each.name not in known]
                known.update(each.name for each in element.nets)
    return frozenset(seen.values())
