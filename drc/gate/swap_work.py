"""The comparison of one pair of boards after the other, or of several at once by several processes."""

import signal
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import NamedTuple, cast

from drc.blocks.find import find_blocks
from drc.blocks.model import Block, Board
from drc.circuit.model import Element, Net
from drc.gate.bug import Guard
from drc.gate.materials import of_board
from drc.gate.outcome_codec import NamedElement, NamedNet
from drc.gate.pipeline import told, unread
from drc.gate.project import Project
from drc.gate.refusal import refused
from drc.gate.swap_board import compared
from drc.gate.swap_forms import Swap, SwapRequest, Twins, open_swap
from drc.gate.swap_intent import carried_intent
from drc.gate.swap_list import Replacement
from drc.gate.swap_match import Matched, block_pairs
from drc.gate.swap_names import matched
from drc.gate.swap_replace import check_replaced, meant, replaced
from drc.gate.swap_side import Side, edited_project, side_of
from drc.intent.model import Intent
from drc.netlist.read import read_circuit
from drc.outcome import BlockOutcome, BoardOutcome, BoardSwap
from drc.repair.trial import changed_files
from drc.trouble import InputError


class Done(NamedTuple):
    """A pair of boards compared, None where a list means nothing on it; and the rows that it used."""

    found: BoardSwap | None
    rows: frozenset[Replacement] = frozenset()


def each_done(opened: Swap) -> Iterator[Done]:
    """The pairs compared one after the other."""
    return (done(twins, opened) for twins in opened.twins)


def done_by(asked: SwapRequest, opened: Swap, jobs: int) -> Iterator[Done]:
    """The same by `jobs` processes, in the same order; each opens for itself what is asked.

    InputError where there is no room for them, or one is ended from outside.
    """
    from concurrent.futures import BrokenExecutor, ProcessPoolExecutor  # one process does without

    from drc.gate.jobs import started

    with started():
        pool = ProcessPoolExecutor(jobs, initializer=_begin, initargs=(asked,))
    try:
        with started():
            found = pool.map(_done, range(len(opened.twins)))
        yield from found
    except BrokenExecutor:
        message = "a process was ended from outside, for want of memory most likely: try --jobs 1"
        raise refused("--jobs", message) from None
    finally:
        # Waited for: one that was left behind would hold its output open for ever.
        pool.shutdown(cancel_futures=True)


_OPENED: list[Swap] = []
"""What this worker process compares."""


def _begin(asked: SwapRequest) -> None:
    """Readies a worker; an interrupt is the parent's to handle."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _OPENED[:] = [open_swap(asked)]


def _done(number: int) -> Done:
    """One pair in a worker."""
    made = done(_OPENED[0].twins[number], _OPENED[0])
    return made if made.found is None else made._replace(found=_let_go(made.found))


def done(twins: Twins, opened: Swap) -> Done:
    """A pair compared; a comparison that says so where a board is unreadable or a bug stops us."""
    with Guard() as guard:
        try:
            return _compared(twins, opened)
        except InputError as error:
            return Done(_unread(twins, opened, _words(error)))
    found = _unread(twins, opened, guard.bug or "")
    return Done(found._replace(before=found.before._replace(bug=True)))


def _compared(twins: Twins, opened: Swap) -> Done:
    """A pair of boards, or a board and itself with a list's parts on it."""
    if twins.after is None:
        return _by_list(twins, opened)
    before = side_of(twins.before, opened.before)
    try:
        return Done(_two(before, twins.after, opened.after))
    except InputError as error:
        found = _unread(twins, opened, _words(error))
        return Done(found._replace(before=before.outcome, reason=f"the board after: {found.reason}"))


def _by_list(twins: Twins, opened: Swap) -> Done:
    """A board and itself with a list's parts on it; nothing where the list means nothing there."""
    project = of_board(twins.before, opened.before)
    board = find_blocks(read_circuit(twins.before, project.root, project.reading), project.parts)
    elements = meant(board, opened.rows, project)
    if not elements:
        return Done(None)
    before, rows = side_of(twins.before, project), frozenset(elements.values())
    try:
        return Done(_with_parts(before, board, elements), rows)
    except InputError as error:
        found = _unread(twins, opened, _words(error))
        return Done(found._replace(before=before.outcome), rows)


def _with_parts(before: Side, board: Board, elements: Mapping[str, Replacement]) -> BoardSwap:
    """A board and itself with other parts on it."""
    made = replaced(board, elements, before.project)
    files = changed_files(before.bench, made.edits)
    after = side_of(before.path, edited_project(before.project, files), lambda *_: before.stated)
    check_replaced(after.book.board, elements)
    match = Matched(block_pairs(before.book.board, after.book.board))
    originals = {path: before.project.tree.read(path) for path in files}
    found = compared(before, after, match, originals)
    return found._replace(notes=(*made.notes, *found.notes))


def _two(before: Side, path: Path, project: Project) -> BoardSwap:
    """A board and another drawing of it, of which the same is asked."""
    matches: list[Matched] = []
    notes: list[str] = []

    def asked(board: Board, own: Intent) -> Intent:
        match = matched(before.book.board, board)
        carried = carried_intent(before.stated, own, board.circuit, match)
        matches.append(match)
        notes.extend(carried.notes)
        return carried.intent

    after = side_of(path, project, asked)
    found = compared(before, after, matches[0], {})
    return found._replace(notes=(*notes, *found.notes))


def _unread(twins: Twins, opened: Swap, message: str) -> BoardSwap:
    """The comparison of boards of which one could not be read as a whole."""
    before = unread(twins.before, opened.before, message)
    after = unread(twins.after or twins.before, opened.after, message)
    return BoardSwap("not a replacement", message, before, after, (), (), ())


def _words(error: InputError) -> str:
    """What is wrong, as one text; a list of parts is named with the place."""
    listed = [each for each in error.troubles if each.kind == "swap-list"]
    texts = [f"{each.place}: {each.message}" if each in listed else told(each) for each in error.troubles]
    return "; ".join(texts)


def _let_go(found: BoardSwap) -> BoardSwap:
    """The comparison with names in place of views of circuits, so that it can go from process to process."""
    pairs = (
        pair._replace(
            before=None if pair.before is None else _block_let_go(pair.before),
            after=None if pair.after is None else _block_let_go(pair.after),
        )
        for pair in found.blocks
    )
    return found._replace(
        before=_board_let_go(found.before),
        after=_board_let_go(found.after),
        restored=None if found.restored is None else _board_let_go(found.restored),
        blocks=tuple(pairs),
    )


def _board_let_go(outcome: BoardOutcome) -> BoardOutcome:
    return outcome._replace(
        blocks=tuple(map(_block_let_go, outcome.blocks)), alike=tuple(map(_named, outcome.alike))
    )


def _block_let_go(outcome: BlockOutcome) -> BlockOutcome:
    return outcome._replace(block=_named(outcome.block))


def _named(block: Block) -> Block:
    """A block that knows names alone."""
    pins = {
        role: tuple(cast(Net, NamedNet(net.name, net.is_ground)) for net in nets)
        for role, nets in block.pins.items()
    }
    element = NamedElement(block.element.path, block.element.kind, block.element.part)
    return block._replace(pins=pins, element=cast(Element, element))
