"""A board as the edits so far leave it, and the trial of ways that bring one of its blocks back."""

from collections.abc import Sequence
from itertools import islice
from typing import NamedTuple, TypeVar

from drc.facts.book import Book
from drc.intent.model import Expect
from drc.judge.assess import assess
from drc.judge.model import Assessment, Edit
from drc.repair.change import Step, edits
from drc.repair.compose import composed
from drc.repair.retime import Way
from drc.repair.trial import Bench, worse
from drc.repair.wanting import excess, unmet
from drc.trouble import InputError

TRIALS = 16
"""The most ways that are tried for one block with values of E24 and E96, and as many with E192 besides: on a
small board some tenths of a second."""

_PATIENCE = 4
"""The most ways that are judged after which all wants hold and something about the block is still graver."""

T = TypeVar("T")


class Stand(NamedTuple):
    """The board as the edits so far leave it, read; what each step is for."""

    bench: Bench
    edits: tuple[Edit, ...]
    why: tuple[str, ...]
    book: Book

    def judged(self) -> Assessment:
        """What the rules say of it, judged once."""
        found = self.book.once(("judged",), lambda: assess(self.book, self.bench.rules))
        assert isinstance(found, Assessment)  # nothing that is judged asks for the whole judgement
        return found


class Aim(NamedTuple):
    """A block's path and what it is to do; `others` is what all other blocks are to do."""

    path: str
    wants: tuple[Expect, ...]
    others: tuple[Expect, ...] = ()


class Outcome(NamedTuple):
    """The board after the way that was taken, None if none was; else what came nearest.

    `kept_off`: ways that would have done were left because another block hangs on the same values.
    """

    taken: Stand | None = None
    nearest: Book | None = None
    kept_off: bool = False


def further(stand: Stand, made: Sequence[Edit], why: str) -> Stand | None:
    """The board with further edits made; None where they cannot be, or it can no longer be read."""
    whole = composed(stand.edits, made)
    if whole is None:
        return None
    bench = stand.bench.edited(made)
    try:
        return Stand(bench, whole, (*stand.why, why), bench.book())
    except InputError:
        return None


def tried_ways(stand: Stand, aim: Aim, ways: Sequence[Way], before: Assessment) -> Outcome:
    """The first way after which all wants of a block hold and nothing about it is graver than before.

    Where none leaves nothing graver, the one that leaves least of it. Nothing that another block does as
    wanted may be lost. Only where the wants hold is anything judged: that is most of a trial's time.
    """
    held = without(aim.others, unmet(stand.book, aim.others))
    found: list[tuple[int, Stand]] = []
    nearest: list[tuple[float, Book]] = []
    spoilt: set[tuple[Step, ...]] = set()
    kept_off = False
    for way in islice((way for way in ways if way.strap not in spoilt), TRIALS):
        made = edits(way.candidate, stand.book.options.materials)
        after = None if made is None else further(stand, made, way.candidate.why)
        if after is None:
            continue
        if unmet(after.book, aim.wants):
            nearest.append((excess(after.book, aim.wants), after.book))
        elif unmet(after.book, held):
            kept_off = True
        else:
            found.append((len(worse(before, after.judged())), after))
            if len(found) == _PATIENCE or not graver_about(before, after.judged(), aim.path):
                break
            spoilt |= set() if way.strap is None else {way.strap}
    return Outcome(_first_least(found), _first_least(nearest), kept_off)


def without(expects: Sequence[Expect], some: Sequence[Expect]) -> tuple[Expect, ...]:
    """The expectations that are none of some."""
    return tuple(expect for expect in expects if not any(expect is each for each in some))


def graver_about(before: Assessment, after: Assessment, path: str) -> bool:
    """Whether anything about a block is graver than before."""
    return any(speaks_of(entry.subject, path) for entry in worse(before, after))


def speaks_of(subject: str, path: str) -> bool:
    """Whether a subject, a block or a pair of two, is or holds the block of a path."""
    return path.lower() in subject.lower().split()


def _first_least(found: Sequence[tuple[float, T]]) -> T | None:
    """The first of those with the least number."""
    return min(found, key=lambda pair: pair[0])[1] if found else None
