"""After another part has taken a block's place: the edits that bring back on it what the old one did.

Block by block, a bounded number of candidates is tried on a copy, as remedies are. What is handed back has
been read anew and judged: every block that it touches does what was wanted of it over its whole span.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.intent.model import Expect
from drc.judge.assess import assess
from drc.judge.model import Assessment, Edit
from drc.repair.change import edits
from drc.repair.compose import composed
from drc.repair.goal import rows_allowed
from drc.repair.lacking import lacks
from drc.repair.placing import placed
from drc.repair.rctime import modulated, rc_retimed
from drc.repair.retime import Way, retimed
from drc.repair.trial import Bench, worse
from drc.repair.wanting import Wanted, excess, unmet, wanting
from drc.trouble import InputError, Place

TRIALS = 16
"""The most candidates that are tried for one block: on a small board some tenths of a second."""


class Restored(NamedTuple):
    """Edits of the board's text, what each step is for, the review with them made, and what cannot be had.

    `lacking` says in words why something of the old behaviour is not there, whatever values are taken. A
    block that cannot do all that is wanted of it is left as it stands.
    """

    edits: tuple[Edit, ...]
    why: tuple[str, ...]
    left: Assessment
    lacking: tuple[str, ...]


Ways = Callable[[Bench, Book, Block, Sequence[Expect]], list[Way]]
"""Finds ways to bring about what is wanted of a block, best first."""


class Stand(NamedTuple):
    """The board as the edits so far leave it, read and judged."""

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
    `old` gives the blocks that stood there, by their path on the new board, for their pins' order and roles.
    """
    expects = [each.expect(Place(bench.path.name)) for each in wanted]
    stand = _stand(wanting(bench, expects), (), ())
    if not unmet(stand.book, expects) and not worse(before, stand.judged):
        return Restored((), (), stand.judged, ())
    lacking: list[str] = []
    back: list[str] = []
    for path in dict.fromkeys(each.path for each in wanted):
        own = [expect for expect, each in zip(expects, wanted, strict=True) if each.path == path]
        stand, reasons = _restored(stand, path, own, before, (old or {}).get(path))
        lacking += reasons
        if not reasons:
            back.append(path)
    lacking += [reason for path in back for reason in _gained(before, stand.judged, path)]
    return Restored(stand.edits, stand.why, stand.judged, tuple(dict.fromkeys(lacking)))


def _gained(before: Assessment, after: Assessment, path: str) -> list[str]:
    """The errors about a block that no value clears, as the review says them."""
    graver = {
        (entry.rule, entry.subject) for entry in worse(before, after) if _speaks_of(entry.subject, path)
    }
    found = (f for f in after.findings if f.level == "error" and (f.rule, f.subject) in graver)
    return [f"{finding.message} [{finding.rule}]" for finding in found]


def _restored(
    stand: Stand, path: str, wants: Sequence[Expect], before: Assessment, old: Block | None
) -> tuple[Stand, tuple[str, ...]]:
    """One block brought back; or the board as it stood, and why not."""
    block = _block(stand.book, path)
    if block is None:
        return stand, (f"{path} is no timing block any more",)
    if old is not None:
        drawn = placed(stand.bench, stand.book, block, old)
        wired = _after(stand, drawn.edits, drawn.why) if drawn.edits else stand
        if drawn.lacking or wired is None:
            return stand, drawn.lacking or (f"the line of {path} cannot be rewritten",)
        valued, reasons = _valued(wired, path, wants, before)
        return (stand if reasons else valued), reasons
    return _valued(stand, path, wants, before)


def _valued(
    stand: Stand, path: str, wants: Sequence[Expect], before: Assessment
) -> tuple[Stand, tuple[str, ...]]:
    """The values of one block chosen anew, its wiring being right; or the board as it stood, and why not."""
    block = _block(stand.book, path)
    if block is None:
        return stand, (f"{path} is no timing block any more",)
    modulator = block.part.function == "pulse-modulator"
    first = [want for want in wants if not (modulator and want.quantity == "duty")]
    timed, reasons = _stage(stand, path, first, before, _time_ways)
    if reasons:
        return stand, reasons
    if not unmet(timed.book, wants):
        return timed, ()
    return _stage(timed, path, wants, before, modulated)


def _time_ways(bench: Bench, book: Book, block: Block, wants: Sequence[Expect]) -> list[Way]:
    """The ways that bring a block's times."""
    if block.part.function == "rc-timer":
        return rc_retimed(bench, book, block, wants)
    return retimed(bench, book, block, rows_allowed(book, block, wants), wants)


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
    return stand, lacks(stand.book, block, wants, None if nearest is None else nearest.book)


def _block(book: Book, path: str) -> Block | None:
    return next((block for block in book.board.blocks if block.path.lower() == path.lower()), None)


def _best(
    stand: Stand, block: Block, ways: Sequence[Way], wants: Sequence[Expect], before: Assessment
) -> tuple[Stand | None, Stand | None]:
    """The first way after which all wants of a block hold and nothing about it is graver than before.

    Where none leaves nothing graver, the first that leaves least of it. Beside it what came nearest.
    """
    found: tuple[int, Stand] | None = None
    nearest: Stand | None = None
    for way in ways[:TRIALS]:
        made = edits(way.candidate, stand.book.options.materials)
        after = None if made is None else _after(stand, made, way.candidate.why)
        if after is None:
            continue
        if unmet(after.book, wants):
            nearest = (
                after if nearest is None else min(nearest, after, key=lambda each: excess(each.book, wants))
            )
            continue
        graver = len(worse(before, after.judged))
        if found is None or graver < found[0]:
            found = graver, after
        if not _about(before, after.judged, block.path):
            break
    return None if found is None else found[1], nearest


def _about(before: Assessment, after: Assessment, path: str) -> bool:
    """Whether anything about a block is graver than before."""
    return any(_speaks_of(entry.subject, path) for entry in worse(before, after))


def _speaks_of(subject: str, path: str) -> bool:
    """Whether a subject, a block or a pair of two, is or holds the block of a path."""
    return path.lower() in subject.lower().split()


def _after(stand: Stand, made: Sequence[Edit], why: str) -> Stand | None:
    """The board with further edits made; None where they cannot be, or it can no longer be read."""
    whole = composed(stand.edits, made)
    if whole is None:
        return None
    try:
        return _stand(stand.bench.edited(made), whole, (*stand.why, why))
    except InputError:
        return None


def _stand(bench: Bench, made: tuple[Edit, ...], why: tuple[str, ...]) -> Stand:
    """A bench read and judged."""
    book = bench.book()
    return Stand(bench, made, why, book, assess(book, bench.rules))
