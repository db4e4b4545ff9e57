"""Findings known from before: they do not fail the gate, new ones do, and gone ones are reported.

The file is JSON, one finding a line, and counts: a second finding of the same kind is new. An entry keeps
the board that it was met on, so that a run over some of the boards says nothing of the others; a board
that is gone may have moved, so its entries serve any board.
"""

import json
import os
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Literal, NamedTuple, overload

from drc.gate.fingerprint import fingerprint
from drc.gate.own_rules import GONE
from drc.judge.model import Finding
from drc.outcome import BoardOutcome, Ruling
from drc.trouble import InputError, Level, Place, Trouble

SCHEMA = "tickproof-known/1"
_EXPECTED = "a file of known findings"

Taking = Literal["gone", "all"]
"""What writing again does: drop what is gone, or also take in what is new."""


class Entry(NamedTuple):
    """One kind of finding on one board, how often it was met, and what it said then."""

    fingerprint: str
    times: int
    board: str
    rule: str
    block: str | None
    message: str
    line: int = 0


class Known(NamedTuple):
    """A file of known findings: its path as the review gives it, and its entries."""

    path: str
    entries: tuple[Entry, ...] = ()


def read_known(
    path: Path, shown: str, read: Callable[[Path], bytes] = Path.read_bytes, where: str = ""
) -> Known:
    """The known findings of a file. InputError where it is missing or not one of ours.

    `where` ends the sentence that a file is missing: on disk, or at a revision.
    """
    try:
        text = read(path).decode("utf-8")
    except FileNotFoundError:
        adding = ", then add it" if where else ""
        message = f"no such file{where}: expected {_EXPECTED}; write it with --accept{adding}"
        raise _wrong(Place(shown), message) from None
    except OSError as error:
        raise _wrong(Place(shown), f"cannot be read: {error.strerror}: expected {_EXPECTED}") from None
    except UnicodeDecodeError:
        raise _wrong(
            Place(shown), f"is not UTF-8 text: expected {_EXPECTED}, as --accept writes it"
        ) from None
    try:
        content = json.loads(text)
    except (ValueError, RecursionError) as error:
        place = Place(shown, getattr(error, "lineno", 0), getattr(error, "colno", 0))
        raise _wrong(place, f"is not JSON: expected {_EXPECTED}, as --accept writes it") from None
    if not isinstance(content, dict) or content.get("schema") != SCHEMA:
        raise _wrong(Place(shown), f'is not {_EXPECTED}: expected "schema": "{SCHEMA}"')
    rows = content.get("findings")
    if not isinstance(rows, list):
        raise _wrong(Place(shown), 'has no list under "findings"')
    lines = text.split("\n")
    return Known(shown, tuple(_entry(shown, item, number, lines) for number, item in enumerate(rows)))


def _entry(shown: str, item: object, number: int, lines: Sequence[str]) -> Entry:
    """One entry of the file, and the line it stands on."""
    if isinstance(item, dict):
        mark, count, board = item.get("fingerprint"), item.get("count"), item.get("board")
        if isinstance(mark, str) and isinstance(board, str) and type(count) is int and count > 0:
            at = (n for n, line in enumerate(lines, 1) if mark in line and json.dumps(board) in line)
            rest = (str(item.get("rule", "")), item.get("block"), str(item.get("message", "")))
            return Entry(mark, count, board, *rest, line=next(at, 0))
    expected = "expected fingerprint and board as texts, and a count above 0"
    raise _wrong(Place(shown), f"finding {number + 1} is incomplete: {expected}")


def _wrong(place: Place, message: str) -> InputError:
    return InputError(Trouble("known", "error", place, message))


def entries_of(boards: Sequence[BoardOutcome], states: Sequence[str]) -> tuple[Entry, ...]:
    """The findings of these states as entries, counted, sorted by board, rule and block."""
    counts: Counter[tuple[str, str]] = Counter()
    entries: dict[tuple[str, str], Entry] = {}
    for board in boards:
        for ruling in board.rulings:
            finding = ruling.finding
            if ruling.state in states and finding.rule != GONE.name:
                key = (board.path, ruling.fingerprint)
                counts[key] += 1
                entry = Entry(ruling.fingerprint, 1, board.path, finding.rule, finding.block, finding.message)
                entries.setdefault(key, entry)
    counted = (entry._replace(times=counts[key]) for key, entry in entries.items())
    return tuple(sorted(counted, key=lambda e: (e.board, e.rule, e.block or "", e.fingerprint)))


class _Met(NamedTuple):
    """What marking needs of a board: whether it was read, and its findings, None for one that is not new."""

    path: str
    readable: bool
    fingerprints: tuple[str | None, ...]


def _met(board: BoardOutcome) -> _Met:
    prints = tuple(ruling.fingerprint if ruling.state == "new" else None for ruling in board.rulings)
    return _Met(board.path, board.error is None, prints)


class Marked(Sequence[BoardOutcome]):
    """Boards with known findings marked as they are asked for, so that all of them need not be held.

    `known` says of each board which of its findings are known, `gone` what is said of those no longer met.
    """

    def __init__(
        self,
        boards: Sequence[BoardOutcome],
        known: Sequence[Sequence[bool]],
        gone: Mapping[int, Sequence[Ruling]],
    ) -> None:
        self._boards, self._known, self._gone = boards, known, gone

    def __len__(self) -> int:
        return len(self._boards)

    @overload
    def __getitem__(self, index: int) -> BoardOutcome: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[BoardOutcome, ...]: ...
    def __getitem__(self, index: int | slice) -> BoardOutcome | tuple[BoardOutcome, ...]:
        numbers = range(len(self))[index]
        return self._marked(numbers) if isinstance(numbers, int) else tuple(map(self._marked, numbers))

    def _marked(self, number: int) -> BoardOutcome:
        board = self._boards[number]
        pairs = zip(board.rulings, self._known[number], strict=True)
        rulings = [ruling._replace(state="known") if known else ruling for ruling, known in pairs]
        return board._replace(rulings=(*rulings, *self._gone.get(number, ())))


def mark_known(
    boards: Sequence[BoardOutcome],
    known: Known,
    root: Path,
    fixed: Level | None,
    exists: Callable[[Path], bool] = Path.exists,
) -> Sequence[BoardOutcome]:
    """The boards with known findings marked, and findings about those that are gone.

    `fixed` is the level of the latter, None for none of them. `root` and `exists` tell which boards are
    still there.
    """
    met = [_met(board) for board in boards]
    left: Counter[tuple[str, str]] = Counter()
    for entry in known.entries:
        left[entry.board, entry.fingerprint] += entry.times
    reviewed = {board.path for board in met if board.readable}
    unread = {board.path for board in met} - reviewed
    free = frozenset(
        entry.board
        for entry in known.entries
        if entry.board not in unread and (entry.board in reviewed or not exists(root / entry.board))
    )
    gone: dict[int, list[Ruling]] = {}
    marks = _marks(met, left, free)
    first = {board.path: number for number, board in reversed([*enumerate(met)])}
    if fixed is None or not met:
        return Marked(boards, marks, gone)
    for entry in known.entries:
        if entry.board in free and left[entry.board, entry.fingerprint] > 0:
            count, left[entry.board, entry.fingerprint] = left[entry.board, entry.fingerprint], 0
            gone.setdefault(first.get(entry.board, 0), []).append(_gone(entry, count, known.path, fixed))
    return Marked(boards, marks, gone)


def _marks(met: Sequence[_Met], left: Counter[tuple[str, str]], free: Collection[str]) -> list[list[bool]]:
    """Which findings are known: by an entry of their own board, else by one that is free; each is used up."""

    def taken(mark: str | None, homes: Iterable[str]) -> bool:
        home = next((home for home in homes if mark is not None and left[home, mark] > 0), None)
        if home is None or mark is None:
            return False
        left[home, mark] -= 1
        return True

    marks = [[taken(mark, (board.path,)) for mark in board.fingerprints] for board in met]
    homes: dict[str, list[str]] = {}
    for home, mark in sorted(left):
        if home in free:
            homes.setdefault(mark, []).append(home)
    for board, known in zip(met, marks, strict=True):
        for number, own in enumerate(board.fingerprints):
            if not known[number] and own is not None:
                known[number] = taken(own, homes.get(own, ()))
    return marks


def _gone(entry: Entry, count: int, path: str, level: Level) -> Ruling:
    """The finding that a known one is no longer met."""
    times = f" ({count} times)" if count > 1 else ""
    message = f"known finding is gone{times}: {entry.rule} at {entry.block or entry.board}: {entry.message}"
    subject, place = entry.block or entry.board, Place(path, entry.line)
    finding = Finding(GONE.name, level, "fail", subject, place, message, advice=GONE.advice)
    return Ruling(finding, "new", fingerprint(finding))


def starting_point(boards: Sequence[BoardOutcome], known: Known | None, root: Path, taking: Taking) -> Known:
    """What is known from the start where the file is to be written: with `all`, what is met now as well.

    Where there is no file yet, what is met now is its beginning. Entries of boards that this run did not
    read are kept.
    """
    if known is not None and taking == "gone":
        return known
    read = {board.path for board in boards if board.error is None}
    before = () if known is None else known.entries
    rest = tuple(e for e in before if e.board not in read and os.path.exists(root / e.board))
    return Known("" if known is None else known.path, (*rest, *entries_of(boards, ("new",))))


def known_text(boards: Sequence[BoardOutcome], known: Known, root: Path) -> str:
    """The file to write: what is known and still met, and what other boards have; one finding a line."""
    read = {board.path for board in boards if board.error is None}
    rest = [e for e in known.entries if e.board not in read and os.path.exists(root / e.board)]
    entries = sorted((*rest, *entries_of(boards, ("known",))), key=lambda e: (e.board, e.rule, e.fingerprint))
    lines = []
    for entry in entries:
        fields = {
            "fingerprint": entry.fingerprint,
            "count": entry.times,
            "board": entry.board,
            "rule": entry.rule,
            "block": entry.block,
            "message": entry.message,
        }
        lines.append("  " + json.dumps(fields))
    body = ",\n".join(lines)
    return f'{{"schema": "{SCHEMA}", "findings": [\n{body}\n]}}\n'
