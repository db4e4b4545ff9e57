"""The plain lane: runs of plain element lines read as arrays, a megabyte at a time.

A line is plain when its nodes and part can be told by counting blanks: no comment, quote or bracket, and
an `=` only in `name=value` words at its end. Any other line is left to drc/netlist/cards.py and the
grammar; tests/netlist/test_agreement.py holds that both read every plain line alike.
"""

from itertools import compress
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.circuit.columns import NamePool, name_keys
from drc.netlist.draft import Piece

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from drc.circuit.columns import Ints
    from drc.netlist.lines import Letters

    Flags = NDArray[np.bool_]

CHUNK = 1 << 20
"""How many characters are taken at a time: the words of a chunk are all held at once."""

_BLANK = np.zeros(256, np.bool_)
_BLANK[[9, 10, 11, 12, 13, 28, 29, 30, 31, 32]] = True
_HARD = np.zeros(256, np.bool_)
_HARD[:9] = _HARD[14:28] = True
_HARD[[ord(letter) for letter in "\"\\?()',"]] = True
_OPENING = np.zeros(256, np.bool_)
_OPENING[[ord(letter) for letter in ";$"]] = True
_ODD = _HARD | _OPENING
_ODD[[ord(letter) for letter in "/={}:"]] = True
_UPPER = np.arange(256, dtype=np.uint8)
_UPPER[97:123] -= 32
_NODES = np.zeros(256, np.int32)
for _letter, _count in {
    "R": 2,
    "C": 2,
    "L": 2,
    "V": 2,
    "I": 2,
    "D": 2,
    "Q": 3,
    "M": 4,
    "X": -1,
    "U": -1,
}.items():
    _NODES[ord(_letter)] = _count
_PARTED = np.zeros(256, np.bool_)
_PARTED[[ord(letter) for letter in "DQMXU"]] = True


class PlainLines(NamedTuple):
    """What the lane took: the elements, which of the offered lines they are, (offered,), and the spans
    of resistor values that hold a capital M, (spans, 2)."""

    piece: Piece
    taken: "Flags"
    capitals: "Ints"


class _Words(NamedTuple):
    """The words of a chunk: their starts and ends within it, and their texts."""

    starts: "Ints"
    ends: "Ints"
    texts: list[str]


class _Chosen(NamedTuple):
    """Lines of a chunk that are plain: index of the first word, node count, index of the part's word (or
    -1), kind, and whether the line is one, all (lines,)."""

    first: "Ints"
    counts: "Ints"
    parts: "Ints"
    kinds: "Letters"
    good: "Flags"


def read_plain(text: "Letters", source: int, starts: "Ints", ends: "Ints", pool: NamePool) -> PlainLines:
    """Reads those of the single-line logical lines (`starts`, `ends` (n,), sorted) that are plain.

    `text` (characters,) is the file with every letter beyond ASCII as a question mark.
    """
    pieces: list[Piece] = []
    taken = np.zeros(starts.size, np.bool_)
    capitals: list[Ints] = []
    low = 0
    while low < starts.size:
        high = int(np.searchsorted(starts, int(starts[low]) + CHUNK, side="left"))
        base, stop = int(starts[low]), int(ends[high - 1])
        letters = text[base:stop]
        words = _words_of(letters)
        chosen = _choose(letters, words, starts[low:high] - base, ends[low:high] - base)
        piece, values = _piece(words, chosen, base, source, pool)
        taken[low:high] = chosen.good
        pieces.append(piece)
        capitals.append(_capitals(letters, values) + base)
        low = high
    return PlainLines(_concatenate(pieces, source), taken, _spans(capitals))


def _words_of(letters: "Letters") -> _Words:
    """Words parted by blanks, numpy and `split` agreeing on what a blank is."""
    blank = _BLANK[letters]
    before = np.concatenate((np.ones(1, np.bool_), blank[:-1]))
    starts = np.flatnonzero(~blank & before)
    after = np.concatenate((blank[1:], np.ones(1, np.bool_)))
    ends = np.flatnonzero(~blank & after) + 1
    return _Words(starts, ends, letters.tobytes().decode("ascii").split())


def _choose(letters: "Letters", words: _Words, starts: "Ints", ends: "Ints") -> _Chosen:
    """Tells which lines are plain, and where their nodes and part stand."""
    first = np.searchsorted(words.starts, starts)
    count = np.searchsorted(words.starts, ends) - first
    kinds = _UPPER[letters[starts]]
    equals = np.flatnonzero(letters == 61)
    signs_from, signs_to = np.searchsorted(equals, starts), np.searchsorted(equals, ends)
    signs = signs_to - signs_from
    padded = np.append(equals, letters.size)
    paired = np.searchsorted(words.starts, padded[signs_from], side="right") - 1
    bare = np.where(signs > 0, paired - first, count)
    barred = np.sort(np.concatenate((_barred(letters), _unpaired(letters, words))))
    clean = np.searchsorted(barred, starts) == np.searchsorted(barred, ends)
    clean &= signs == count - bare
    nodes = _NODES[kinds]
    instance = nodes < 0
    nodes = np.where(instance, bare - 2, nodes)
    passive = (kinds == 82) | (kinds == 67) | (kinds == 76)
    source = (kinds == 86) | (kinds == 73)
    fits = np.where(passive, (bare == 3) | (bare == 4), np.where(source, bare >= 3, bare == nodes + 2))
    good = clean & (_NODES[kinds] != 0) & (nodes > 0) & fits
    parts = np.where(_PARTED[kinds] & good, first + nodes + 1, -1)
    parts_at = np.clip(parts, 0, max(words.starts.size - 1, 0))
    good &= _names_a_model(letters, words, parts_at) | (parts < 0) | instance
    good &= _nodes_bare(letters, words, first, nodes + _PARTED[kinds], good)
    return _Chosen(first, nodes, parts, kinds, good)


def _barred(letters: "Letters") -> "Ints":
    """Where characters stand that make a line none of this lane's, shape (found,)."""
    odd = np.flatnonzero(_ODD[letters])
    padded = np.concatenate((np.full(1, 32, np.uint8), letters, np.full(1, 32, np.uint8)))
    code, before, after = letters[odd], padded[odd], padded[odd + 2]
    opening, closing = _BLANK[before], _BLANK[after]
    barred: Flags = _HARD[code] | (opening & _OPENING[code])
    barred |= (code == 47) & opening & (closing | (after == 47))
    barred |= (code == 61) & (opening | closing | (before == 61))
    barred |= (code == 123) & ~(opening | (before == 61))
    barred |= (code == 125) & ~closing
    barred |= (code == 58) & ((before == 115) | (before == 83))
    return odd[barred]


def _unpaired(letters: "Letters", words: _Words) -> "Ints":
    """Where words stand that hold braces other than one pair, or a `=` too many, shape (found,)."""
    opened, closed, equals = (
        np.bincount(
            np.searchsorted(words.starts, np.flatnonzero(letters == code), side="right") - 1,
            minlength=words.starts.size,
        )
        for code in (123, 125, 61)
    )
    within = (equals > 0) & (letters[words.starts] == 123)
    found: Ints = words.starts[(opened != closed) | (opened > 1) | (equals > 1) | within]
    return found


def _names_a_model(letters: "Letters", words: _Words, parts: "Ints") -> "Flags":
    """Whether a part's word begins with a letter and is not the flag `off`: else it may be a number."""
    if not words.starts.size:
        return np.zeros(parts.size, np.bool_)
    at = words.starts[parts]
    code = _UPPER[letters[at]]
    flag = (words.ends[parts] - at == 3) & (code == 79)
    named: Flags = (code >= 65) & (code <= 90) & ~flag
    return named


def _nodes_bare(letters: "Letters", words: _Words, first: "Ints", named: "Ints", good: "Flags") -> "Flags":
    """Whether no brace stands in the name and the `named` words after it, which are nodes and part."""
    opened = np.flatnonzero((letters == 123) | (letters == 125))
    if not opened.size:
        return np.ones(first.size, np.bool_)
    last = np.clip(first + np.maximum(named, 0), 0, words.starts.size - 1)
    low, high = words.starts[np.clip(first, 0, words.starts.size - 1)], words.ends[last]
    clear: Flags = (np.searchsorted(opened, low) == np.searchsorted(opened, high)) | ~good
    return clear


def _piece(words: _Words, chosen: _Chosen, base: int, source: int, pool: NamePool) -> "tuple[Piece, Ints]":
    """The chosen lines as columns, and the word spans of resistor values, (values, 2)."""
    good = chosen.good
    first, counts, parts, kinds = (
        chosen.first[good],
        chosen.counts[good],
        chosen.parts[good],
        chosen.kinds[good],
    )
    picked = np.zeros(words.starts.size, np.bool_)
    before = np.cumsum(counts) - counts
    total = int(counts.sum())
    picked[np.repeat(first + 1 - before, counts) + np.arange(total)] = True
    nets = pool.numbers(compress(words.texts, picked.tobytes()), total)
    picked[:] = False
    picked[first] = True
    keys = name_keys(list(compress(words.texts, picked.tobytes())))
    part_numbers = np.full(first.size, -1, np.int32)
    named = parts >= 0
    if named.any():
        picked[:] = False
        picked[parts[named]] = True
        part_numbers[named] = pool.numbers(compress(words.texts, picked.tobytes()), int(named.sum()))
    offsets = words.starts[first] + base
    valued = first[kinds == 82] + 3
    valued = valued[valued < words.starts.size]
    spans = np.stack((words.starts[valued], words.ends[valued]), axis=1)
    return Piece(source, offsets, kinds, counts.astype(np.int32), nets, part_numbers, keys), spans


def _capitals(letters: "Letters", spans: "Ints") -> "Ints":
    """Those spans that hold a capital M after their first character, (spans, 2)."""
    capital = np.flatnonzero(letters == 77)
    low, high = np.searchsorted(capital, spans[:, 0] + 1), np.searchsorted(capital, spans[:, 1])
    return spans[high > low]


def _concatenate(pieces: list[Piece], source: int) -> Piece:
    """The pieces of the chunks as one."""
    if len(pieces) == 1:
        return pieces[0]
    if not pieces:
        none = np.zeros(0, np.int32)
        return Piece(source, none, none.astype(np.uint8), none, none, none, none.astype(np.int64))
    return Piece(
        source,
        np.concatenate([piece.offsets for piece in pieces]),
        np.concatenate([piece.kinds for piece in pieces]),
        np.concatenate([piece.counts for piece in pieces]),
        np.concatenate([piece.nets for piece in pieces]),
        np.concatenate([piece.parts for piece in pieces]),
        np.concatenate([piece.keys for piece in pieces]),
    )


def _spans(capitals: "list[Ints]") -> "Ints":
    return np.concatenate(capitals) if capitals else np.zeros((0, 2), np.int64)
