"""After another part has taken a block's place: the edits that bring back on it what the old one did.

Block by block, a bounded number of candidates is tried on a copy, as remedies are, and read anew. A value is
only changed where the block then does all that is wanted of it over its whole span.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.intent.model import Expect
from drc.judge.model import Assessment, Edit
from drc.repair.goal import rows_allowed, stated_of
from drc.repair.lacking import beyond, lacks
from drc.repair.placing import placed
from drc.repair.pool import FINE, Pool
from drc.repair.rctime import modulated, rc_retimed
from drc.repair.retime import Way, retimed
from drc.repair.stand import Aim, Stand, further, graver_about, speaks_of, tried_ways, without
from drc.repair.trial import Bench, worse
from drc.repair.wanting import Wanted, unmet, wanting

__all__ = ["Restored", "Wanted", "restore"]

ROUNDS = 3
"""How often a board's blocks are gone through: what one makes may hang on what another makes."""

Ways = Callable[[Bench, Book, Block, Sequence[Expect]], list[Way]]
"""Finds ways to bring about what is wanted of a block, best first."""


class Restored(NamedTuple):
    """Edits of the board's text, what each step is for, the review with them made, and what cannot be had.

    `lacking` says in words why something of the old behaviour is not there, whatever values are taken. A
    block that cannot do all that is wanted of it keeps its values; its wiring is put right all the same.
    """

    edits: tuple[Edit, ...]
    why: tuple[str, ...]
    left: Assessment
    lacking: tuple[str, ...]


class _Task(NamedTuple):
    """All that is wanted, the old board's assessment, and the old blocks by their path on the new board."""

    expects: tuple[Expect, ...]
    before: Assessment
    old: Mapping[str, Block]

    def aim(self, path: str) -> Aim:
        """What is wanted of one block."""
        own = tuple(each for each in self.expects if each.block.text.lower() == path.lower())
        return Aim(path, own, without(self.expects, own))


Tried = tuple[Stand, tuple[str, ...]]
"""A board, and why a block does not come right on it; empty where it does."""


def restore(
    bench: Bench, wanted: Sequence[Wanted], before: Assessment, old: Mapping[str, Block] | None = None
) -> Restored:
    """The fewest edits after which the board does what is wanted, and nothing is graver than `before`.

    `bench` has the new parts in place; `before` is the old board's assessment: faults that it had may stay.
    `old` gives the blocks that stood there, by their path on the new board, for their pins' order and roles;
    without it all wiring is left as it is drawn.
    """
    plain = bench.book()
    never = {each: reason for each in wanted if (reason := beyond(_block(plain, each.path), each))}
    expects = tuple(each.expect(number) for number, each in enumerate(wanted, 1) if each not in never)
    statements = (*plain.intent.statements, *expects)
    book = plain.under(plain.intent._replace(statements=statements))
    stand = Stand(wanting(bench, expects), (), (), book)
    if not unmet(book, expects) and not worse(before, stand.judged()):
        return Restored((), (), stand.judged(), tuple(never.values()))
    task = _Task(expects, before, {path.lower(): block for path, block in (old or {}).items()})
    paths = [block.path for block in stand.book.board.blocks]
    paths = [path for path in paths if task.aim(path).wants or path.lower() in task.old]
    gone = dict.fromkeys(each.path for each in wanted if each.path.lower() not in map(str.lower, paths))
    lacking = {path: (f"{path} is no timing block any more",) for path in gone}
    stand, undrawn = _all_drawn(stand, task, paths)
    stand, left = _settled(stand, task, [path for path in paths if path not in undrawn])
    gained = {path: _gained(before, stand.judged(), path) for path in paths if path not in {*undrawn, *left}}
    groups = (tuple(never.values()), *lacking.values(), *undrawn.values(), *left.values(), *gained.values())
    reasons = dict.fromkeys(reason for group in groups for reason in group)
    return Restored(stand.edits, stand.why, stand.judged(), tuple(reasons))


def _all_drawn(stand: Stand, task: _Task, paths: Sequence[str]) -> tuple[Stand, dict[str, tuple[str, ...]]]:
    """The nets of all blocks on the pins that do what the old parts' did; blocks where that cannot be.

    A part of another kind waits until its values are found.
    """
    undrawn: dict[str, tuple[str, ...]] = {}
    for path in paths:
        block, old = _block(stand.book, path), task.old.get(path.lower())
        if block is not None and old is not None and not _other_kind(block, old):
            stand, reasons = _drawn(stand, block, old)
            undrawn |= {path: reasons} if reasons else {}
    return stand, undrawn


def _other_kind(block: Block, old: Block) -> bool:
    """Whether one is an RC timer and the other is none."""
    return (block.part.function == "rc-timer") != (old.part.function == "rc-timer")


def _drawn(stand: Stand, block: Block, old: Block) -> Tried:
    """The nets of one block on the pins that do what the old part's did."""
    drawn = placed(stand.bench, stand.book, block, old)
    after = further(stand, drawn.edits, drawn.why) if drawn.edits else stand
    if drawn.lacking or after is None:
        return stand, drawn.lacking or (f"the line of {block.path} cannot be rewritten",)
    return after, ()


def _settled(stand: Stand, task: _Task, paths: Sequence[str]) -> tuple[Stand, dict[str, tuple[str, ...]]]:
    """The blocks brought back one after another, again while one more comes right; those that do not."""
    left: dict[str, tuple[str, ...]] = {}
    for _ in range(ROUNDS):
        left = {}
        for path in paths:
            stand, reasons = _restored(stand, task, path)
            left |= {path: reasons} if reasons else {}
        if len(left) in (0, len(paths)):
            break
        paths = list(left)
    return stand, left


def _restored(stand: Stand, task: _Task, path: str) -> Tried:
    """One block brought back; or the board as it stood, and why not.

    A part of another kind is only put in its place where its values can be found as well.
    """
    block, old, drawn = _block(stand.book, path), task.old.get(path.lower()), stand
    if block is None:
        return stand, (f"{path} is no timing block any more",)
    if old is not None and _other_kind(block, old):
        drawn, reasons = _drawn(stand, block, old)
        if reasons:
            return stand, reasons
    modulator, aim = block.part.function == "pulse-modulator", task.aim(path)
    first = tuple(want for want in aim.wants if not (modulator and want.quantity == "duty"))
    after, reasons = _stage(drawn, aim._replace(wants=first), task.before, _time_ways)
    if not reasons and modulator:
        after, reasons = _stage(after, aim, task.before, _duty_ways)
    return (stand if reasons else after), reasons


def _stage(stand: Stand, aim: Aim, before: Assessment, ways: Ways) -> Tried:
    """The first of some ways that holds; or the board as it stood, and why none does."""
    block, lost = _block(stand.book, aim.path), unmet(stand.book, aim.wants)
    if block is None or (not lost and not graver_about(before, stand.judged(), aim.path)):
        return stand, ()
    outcome = tried_ways(stand, aim, ways(stand.bench, stand.book, block, aim.wants), before)
    if outcome.taken is None and outcome.nearest is not None and not stand.bench.pool.stock:
        fine = stand.bench._replace(pool=Pool(series=FINE))
        outcome = tried_ways(stand, aim, ways(fine, stand.book, block, aim.wants), before)
    if outcome.taken is not None:
        return outcome.taken, ()
    if not lost:
        return stand, ()
    return stand, lacks(stand.bench, stand.book, block, aim.wants, outcome)


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


def _gained(before: Assessment, after: Assessment, path: str) -> list[str]:
    """The errors about a block that no value clears, as the review says them."""
    graver = {(e.rule, e.subject) for e in worse(before, after) if speaks_of(e.subject, path)}
    found = (f for f in after.findings if f.level == "error" and (f.rule, f.subject) in graver)
    return [f"{finding.message} [{finding.rule}]" for finding in found]


def _block(book: Book, path: str) -> Block | None:
    return next((block for block in book.board.blocks if block.path.lower() == path.lower()), None)
