"""After another part has taken a block's place: the edits that bring back on it what the old one did.

Block by block, a bounded number of candidates is tried on a copy, as remedies are. What is handed back has
been read anew and judged: every block that it touches does what was wanted of it over its whole span.
"""

from collections.abc import Callable, Mapping, Sequence
from itertools import islice
from typing import NamedTuple, TypeVar

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.intent.model import Expect
from drc.judge.assess import assess
from drc.judge.model import Assessment, Edit
from drc.repair.change import Step, edits
from drc.repair.compose import composed
from drc.repair.goal import rows_allowed, stated_of
from drc.repair.lacking import lacks
from drc.repair.placing import placed
from drc.repair.rctime import modulated, rc_retimed
from drc.repair.retime import Way, retimed
from drc.repair.trial import Bench, worse
from drc.repair.wanting import Wanted, excess, unmet, wanting
from drc.trouble import InputError

TRIALS = 16
"""The most candidates that are tried for one block: on a small board some tenths of a second."""

_PATIENCE = 4
"""The most candidates after which all wants hold and something about the block is still graver."""

T = TypeVar("T")


class Restored(NamedTuple):
    """Edits of the board's text, what each step is for, the review with them made, and what cannot be had.

    `lacking` says in words why something of the old behaviour is not there, whatever values are taken. A
    block that cannot do all that is wanted of it keeps its values; its wiring is put right all the same.
    """

    edits: tuple[Edit, ...]
    why: tuple[str, ...]
    left: Assessment
    lacking: tuple[str, ...]


Ways = Callable[[Bench, Book, Block, Sequence[Expect]], list[Way]]
"""Finds ways to bring about what is wanted of a block, best first."""


class Draft(NamedTuple):
    """The board as the edits so far leave it, read; what each step is for."""

    bench: Bench
    edits: tuple[Edit, ...]
    why: tuple[str, ...]
    book: Book


class Stand(NamedTuple):
    """A draft that was judged."""

    bench: Bench
    edits: tuple[Edit, ...]
    why: tuple[str, ...]
    book: Book
    judged: Assessment


def restore(
    bench: Bench, wanted: Sequence[Wanted], before: Assessment, old: Mapping[str, Block] | None = None
) -> Restored:
    """The fewest edits after which the board does what is wanted, and nothing is graver than `before`.

    `bench` has the new parts in place; `before` is the old board's assessment: faults that it had may stay.
    `old` gives the blocks that stood there, by their path on the new board, for their pins' order and roles;
    without it all wiring is left as it is drawn.
    """
    expects = [each.expect(number) for number, each in enumerate(wanted, 1)]
    wants = {path: [e for e in expects if e.block.text == path] for path in {each.path for each in wanted}}
    was = dict(old or {})
    asking = wanting(bench, expects)
    stand = _judged(Draft(asking, (), (), asking.book()))
    if not unmet(stand.book, expects) and not worse(before, stand.judged):
        return Restored((), (), stand.judged, ())
    blocks = [b.path for b in stand.book.board.blocks if b.path in wants or b.path in was]
    lacking: dict[str, tuple[str, ...]] = {}
    lacking |= {path: (f"{path} is no timing block any more",) for path in wants if path not in blocks}
    for path in blocks:
        stand, reasons = _drawn(stand, path, was.get(path))
        lacking |= {path: reasons} if reasons else {}
    open_ones = [path for path in blocks if path not in lacking]
    stand, left = _settled(stand, {path: wants.get(path, []) for path in open_ones}, before, was)
    lacking |= left
    gained = {path: _gained(before, stand.judged, path) for path in open_ones if path not in left}
    every = (reason for each in (*lacking.values(), *gained.values()) for reason in each)
    return Restored(stand.edits, stand.why, stand.judged, tuple(dict.fromkeys(every)))


def _settled(
    stand: Stand, wants: Mapping[str, Sequence[Expect]], before: Assessment, old: Mapping[str, Block]
) -> tuple[Stand, dict[str, tuple[str, ...]]]:
    """The blocks brought back one after another, as often as one more comes right: some hang on others."""
    open_ones = list(wants)
    while True:
        left: dict[str, tuple[str, ...]] = {}
        for path in open_ones:
            stand, reasons = _restored(stand, path, wants[path], before, old.get(path))
            left |= {path: reasons} if reasons else {}
        if not left or len(left) == len(open_ones):
            return stand, left
        open_ones = list(left)


def _gained(before: Assessment, after: Assessment, path: str) -> list[str]:
    """The errors about a block that no value clears, as the review says them."""
    graver = {
        (entry.rule, entry.subject) for entry in worse(before, after) if _speaks_of(entry.subject, path)
    }
    found = (f for f in after.findings if f.level == "error" and (f.rule, f.subject) in graver)
    return [f"{finding.message} [{finding.rule}]" for finding in found]


def _drawn(stand: Stand, path: str, old: Block | None) -> tuple[Stand, tuple[str, ...]]:
    """The nets of a block on the pins that do what the old part's did; or as it stood, and why not."""
    block = _block(stand.book, path)
    if (
        block is None
        or old is None
        or (block.part.function == "rc-timer") != (old.part.function == "rc-timer")
    ):
        return stand, ()
    return _placed(stand, block, old)


def _placed(stand: Stand, block: Block, old: Block) -> tuple[Stand, tuple[str, ...]]:
    drawn = placed(stand.bench, stand.book, block, old)
    after = _after(stand, drawn.edits, drawn.why) if drawn.edits else stand
    if drawn.lacking or after is None:
        return stand, drawn.lacking or (f"the line of {block.path} cannot be rewritten",)
    return after, ()


def _restored(
    stand: Stand, path: str, wants: Sequence[Expect], before: Assessment, old: Block | None
) -> tuple[Stand, tuple[str, ...]]:
    """One block brought back; or the board as it stood, and why not.

    A part of another kind is only put in its place where its values can be found as well.
    """
    block, drawn = _block(stand.book, path), stand
    if block is None:
        return stand, (f"{path} is no timing block any more",)
    if old is not None and (block.part.function == "rc-timer") != (old.part.function == "rc-timer"):
        drawn, reasons = _placed(stand, block, old)
        if reasons:
            return stand, reasons
    modulator = block.part.function == "pulse-modulator"
    first = [want for want in wants if not (modulator and want.quantity == "duty")]
    timed, reasons = _stage(drawn, path, first, before, _time_ways)
    if not reasons and modulator:
        timed, reasons = _stage(timed, path, wants, before, _duty_ways)
    return (stand if reasons else timed), reasons


def _time_ways(bench: Bench, book: Book, block: Block, wants: Sequence[Expect]) -> list[Way]:
    """The ways that bring a block's times, and all that the board states of it if that can be had too."""
    for every in (stated_of(book, block), wants):
        if block.part.function == "rc-timer":
            ways = rc_retimed(bench, book, block, every)
        else:
            ways = retimed(bench, book, block, rows_allowed(block, every), every)
        if ways:
            return ways
    return []


def _duty_ways(bench: Bench, book: Book, block: Block, wants: Sequence[Expect]) -> list[Way]:
    """The ways that bring a pulse modulator's duty, as stated, else as wanted."""
    return modulated(bench, book, block, stated_of(book, block)) or modulated(bench, book, block, wants)


def _stage(
    stand: Stand, path: str, wants: Sequence[Expect], before: Assessment, ways: Ways
) -> tuple[Stand, tuple[str, ...]]:
    """The first of some ways that holds; or the board as it stood, and why none does."""
    block = _block(stand.book, path)
    if block is None:
        return stand, (f"{path} is no timing block any more",)
    if not unmet(stand.book, wants) and not _about(before, stand.judged, block.path):
        return stand, ()
    best, nearest = _best(stand, block, ways(stand.bench, stand.book, block, wants), wants, before)
    if best is not None:
        return best, ()
    if not unmet(stand.book, wants):
        return stand, ()
    return stand, lacks(stand.book, block, wants, nearest)


def _block(book: Book, path: str) -> Block | None:
    return next((block for block in book.board.blocks if block.path.lower() == path.lower()), None)


def _best(
    stand: Stand, block: Block, ways: Sequence[Way], wants: Sequence[Expect], before: Assessment
) -> tuple[Stand | None, Book | None]:
    """The first way after which all wants of a block hold and nothing about it is graver than before.

    Where none leaves nothing graver, the one that leaves least of it. Beside it what came nearest. Only
    where the wants hold is anything judged: that is most of a trial's time.
    """
    found: list[tuple[int, Stand]] = []
    nearest: list[tuple[float, Book]] = []
    spoilt: set[tuple[Step, ...]] = set()
    for way in islice((way for way in ways if way.strap not in spoilt), TRIALS):
        made = edits(way.candidate, stand.book.options.materials)
        draft = None if made is None else _draft(stand, made, way.candidate.why)
        if draft is None:
            continue
        if unmet(draft.book, wants):
            nearest.append((excess(draft.book, wants), draft.book))
            continue
        after = _judged(draft)
        found.append((len(worse(before, after.judged)), after))
        if len(found) == _PATIENCE or not _about(before, after.judged, block.path):
            break
        spoilt |= set() if way.strap is None else {way.strap}
    return _first_least(found), _first_least(nearest)


def _first_least(found: Sequence[tuple[float, T]]) -> T | None:
    """The first of those with the least number."""
    return min(found, key=lambda pair: pair[0])[1] if found else None


def _about(before: Assessment, after: Assessment, path: str) -> bool:
    """Whether anything about a block is graver than before."""
    return any(_speaks_of(entry.subject, path) for entry in worse(before, after))


def _speaks_of(subject: str, path: str) -> bool:
    """Whether a subject, a block or a pair of two, is or holds the block of a path."""
    return path.lower() in subject.lower().split()


def _after(stand: Stand, made: Sequence[Edit], why: str) -> Stand | None:
    """The board with further edits made and judged; None where they cannot be made."""
    draft = _draft(stand, made, why)
    return None if draft is None else _judged(draft)


def _draft(stand: Stand, made: Sequence[Edit], why: str) -> Draft | None:
    """The board with further edits made; None where they cannot be, or it can no longer be read."""
    whole = composed(stand.edits, made)
    if whole is None:
        return None
    bench = stand.bench.edited(made)
    try:
        return Draft(bench, whole, (*stand.why, why), bench.book())
    except InputError:
        return None


def _judged(draft: Draft) -> Stand:
    return Stand(*draft, assess(draft.book, draft.bench.rules))
