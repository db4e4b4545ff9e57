"""A circuit under construction: definitions fill up piece by piece, then become columns."""

from itertools import product
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.circuit.columns import TOP, Definition, NamePool, Tables, name_keys
from drc.netlist.cards import Card
from drc.netlist.scopes import Names
from drc.trouble import Place

if TYPE_CHECKING:
    from drc.circuit.columns import Ints

GROUND = ("0", *("".join(letters) for letters in product("gG", "nN", "dD")))
"""The names of node 0."""


class Piece(NamedTuple):
    """Elements of one file as columns: offsets, kinds, counts, parts, keys (n,), nets (sum of counts,)."""

    source: int
    offsets: "Ints"
    kinds: "Ints"
    counts: "Ints"
    nets: "Ints"
    parts: "Ints"
    keys: "Ints"


class Rows:
    """Elements taken one at a time; becomes a piece."""

    def __init__(self, source: int) -> None:
        self.source = source
        self.offsets: list[int] = []
        self.kinds: list[int] = []
        self.counts: list[int] = []
        self.nets: list[int] = []
        self.parts: list[int] = []
        self.names: list[str] = []

    def add(self, card: Card, pool: NamePool, loose: "list[int]") -> None:
        """Takes one element; each `?` is a net of its own, numbered over `loose`."""
        self.offsets.append(card.name.start)
        self.kinds.append(ord(card.kind))
        self.counts.append(len(card.nodes))
        for node in card.nodes:
            name = node.text
            if name == "?":
                loose[0] += 1
                name = f"?#{loose[0]}"
            self.nets.append(pool.number(name))
        keeps = card.part is not None and card.kind not in "RCL"
        self.parts.append(pool.number(card.part.text) if keeps and card.part else -1)
        self.names.append(card.name.text)

    def piece(self) -> Piece:
        """The rows as columns."""
        return Piece(
            self.source, np.array(self.offsets, np.int64), np.array(self.kinds, np.uint8),
            np.array(self.counts, np.int32), np.array(self.nets, np.int32),
            np.array(self.parts, np.int32), name_keys(self.names),
        )  # fmt: skip


def part_of(piece: Piece, starts: "Ints", low: int, high: int) -> Piece:
    """Elements `low` to `high` of a piece; `starts` (n+1,) are the offsets of its net column."""
    if low == 0 and high == piece.offsets.size:
        return piece
    return Piece(
        piece.source, piece.offsets[low:high], piece.kinds[low:high], piece.counts[low:high],
        piece.nets[int(starts[low]) : int(starts[high])], piece.parts[low:high], piece.keys[low:high],
    )  # fmt: skip


def merge(a: Piece, b: Piece) -> Piece:
    """Two pieces of one file as one, in order of their offsets."""
    if not a.offsets.size or not b.offsets.size:
        return a if a.offsets.size else b
    offsets = np.concatenate((a.offsets, b.offsets))
    order = np.argsort(offsets, kind="stable")
    counts = np.concatenate((a.counts, b.counts))
    nets = np.concatenate((a.nets, b.nets))
    starts = np.cumsum(counts) - counts
    moved = counts[order]
    ends = np.cumsum(moved)
    picks = np.repeat(starts[order] - (ends - moved), moved) + np.arange(nets.size)
    both = (
        np.concatenate((x, y))[order] for x, y in ((a.kinds, b.kinds), (a.parts, b.parts), (a.keys, b.keys))
    )
    kinds, parts, keys = both
    return Piece(a.source, offsets[order], kinds, moved, nets[picks], parts, keys)


class Draft:
    """One subcircuit (or the board) while its lines are read."""

    def __init__(self, name: str, place: Place, outer: int, ports: list[str]) -> None:
        self.name, self.place, self.outer, self.ports = name, place, outer, ports
        self.pieces: list[Piece] = []


def _joined(pieces: list[Piece]) -> "tuple[Ints, ...]":
    """The columns of all pieces one after the other: kinds, sources, offsets, starts, nets, parts, keys."""
    if not pieces:
        pieces = [Rows(0).piece()]
    one = pieces[0] if len(pieces) == 1 else None
    kinds, offsets, counts, nets, parts, keys = (
        getattr(one, field) if one else np.concatenate([getattr(piece, field) for piece in pieces])
        for field in ("kinds", "offsets", "counts", "nets", "parts", "keys")
    )
    sources = np.repeat(
        np.array([piece.source for piece in pieces], np.int16), [piece.offsets.size for piece in pieces]
    )
    starts = np.zeros(counts.size + 1, np.int64)
    np.cumsum(counts, out=starts[1:])
    return kinds, sources, offsets, starts, nets, parts, keys


def tables_of(
    drafts: list[Draft], names: list[Names], pool: NamePool, shared: set[str]
) -> tuple[Tables, list[tuple[int, int]]]:
    """The finished columns, which definition an instance means settled by scope; and (definition, child)
    wherever a loop of placements was cut."""
    ports = [np.array([pool.number(port) for port in draft.ports], np.int32) for draft in drafts]
    shared_numbers = [pool.number(name) for name in sorted(shared)]
    ground = pool.known(GROUND)
    finished = pool.finish()
    definitions = []
    for index, draft in enumerate(drafts):
        kinds, sources, offsets, starts, nets, parts, keys = _joined(draft.pieces)
        children = _children(index, kinds, parts, names, finished.written)
        definition = Definition(
            draft.name, draft.place, draft.outer, ports[index], kinds, sources, offsets, starts, nets, parts,
            children, keys,
        )  # fmt: skip
        definitions.append(definition)
    order, cut = _order(definitions)
    for index, child in cut:
        definition = definitions[index]
        children = np.where(definition.children == child, -1, definition.children)
        definitions[index] = definition._replace(children=children)
    folded = finished.folded
    tables = Tables(
        tuple(definitions), finished, tuple(order),
        frozenset(int(folded[i]) for i in ground), frozenset(int(folded[i]) for i in shared_numbers),
    )  # fmt: skip
    return tables, cut


def _children(index: int, kinds: "Ints", parts: "Ints", names: list[Names], written: list[str]) -> "Ints":
    """For each element the definition that its part names, seen from the scope outward, or -1."""
    children = np.full(kinds.size, -1, np.int32)
    rows = np.flatnonzero(((kinds == ord("X")) | (kinds == ord("U"))) & (parts >= 0))
    if not rows.size:
        return children
    values, inverse = np.unique(parts[rows], return_inverse=True)
    found = [definition_named(written[value], index, names) for value in values.tolist()]
    children[rows] = np.array(found, np.int32)[inverse]
    return children


def definition_named(name: str, index: int, names: list[Names]) -> int:
    """The definition that a name means within another, looking outward; -1 if there is none."""
    low = name.lower()
    while index >= 0:
        found = names[index].subcircuits.get(low)
        if found is not None:
            return found
        index = names[index].outer
    return -1


def _order(definitions: list[Definition]) -> tuple[list[int], list[tuple[int, int]]]:
    """Definitions so that placed ones come first, and the placements that close a loop."""
    # A set, not np.unique: that loads numpy.ma, a tenth of a cold start.
    inner = [sorted(c for c in set(d.children.tolist()) if c >= 0) for d in definitions]
    order: list[int] = []
    cut: list[tuple[int, int]] = []
    state = [0] * len(definitions)
    for root in (TOP, *range(1, len(definitions))):
        if state[root]:
            continue
        stack = [(root, iter(inner[root]))]
        state[root] = 1
        while stack:
            index, rest = stack[-1]
            child = next(rest, None)
            if child is None:
                state[index] = 2
                order.append(index)
                stack.pop()
            elif state[child] == 0:
                state[child] = 1
                stack.append((child, iter(inner[child])))
            elif state[child] == 1:
                cut.append((index, child))
    return order, cut
