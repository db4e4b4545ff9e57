"""Whether the new parts do the old ones' work, and what is wanted of them where they do not yet.

When a part is a replacement, `drc.options.SWAP_VERDICTS` says; this is how it is found out.
"""

from collections.abc import Iterator, Mapping

from drc.blocks.model import Block
from drc.blocks.parts import find_part
from drc.facts.model import Fact, Subject, Unknown
from drc.gate.swap_kept import (
    PULLED,
    WORDS,
    Keeping,
    can_rest,
    fact_of,
    held_on,
    keepings,
    pulled_low,
    running_levels,
    same_way,
    text_of,
    within,
    work,
)
from drc.gate.swap_match import SAME_WORK, Matched, Pair
from drc.gate.swap_region import untouched
from drc.gate.swap_side import Side
from drc.intent.match import matches
from drc.intent.model import Expect
from drc.intent.wording import did_you_mean
from drc.judge.model import Assessment, TallyEntry, Verdict
from drc.quantity.span import Span
from drc.repair.trial import worse
from drc.repair.wanting import Wanted
from drc.trouble import Place

STATED_AS: Mapping[str, frozenset[str]] = {
    "timing.frequency": frozenset({"frequency", "period"}),
    "timing.period": frozenset({"frequency", "period"}),
    "timing.steering_low": frozenset({"frequency", "period"}),
    "timing.steering_high": frozenset({"frequency", "period"}),
    "timing.duty": frozenset({"duty"}),
    "timing.pulse_width": frozenset({"pulse-width"}),
    "timing.delay": frozenset({"delay", "delay-rising", "delay-falling"}),
    "timing.delay_rising": frozenset({"delay", "delay-rising"}),
    "timing.delay_falling": frozenset({"delay", "delay-falling"}),
    "strap.polarity": frozenset({"polarity"}),
    "output.rest": frozenset({"rest"}),
}
"""The quantities of an expectation that state a fact."""

GRAVITY: tuple[Verdict, ...] = ("not-applicable", "pass", "unproven", "at-risk", "fail")
"""Verdicts from the mildest to the gravest."""

Key = tuple[Place, str]
"""An expectation and the block that it is about, by place and path."""


def objections(before: Side, after: Side, match: Matched) -> tuple[str, ...]:
    """What speaks against calling the new parts drop-in; nothing where they are."""
    gone = (pair.before for pair in match.pairs if pair.before is not None and pair.after is None)
    found = [_gone(block, after, match) for block in gone]
    found += _graver(before, after, match)
    was_met = _met(before)
    now_met = _met(after)
    for pair in match.pairs:
        if pair.before is None or pair.after is None:
            continue
        stated: set[str] = set()
        for expect in _about(after, pair.after):
            key = (expect.place, pair.after.path)
            if key in now_met:
                stated.add(expect.quantity)
            elif (expect.place, pair.before.path) in was_met:
                found.append(_missed(after, pair.after, expect))
        found += _lost(before, after, pair, match, stated)
    return tuple(dict.fromkeys(found))


def _gone(block: Block, after: Side, match: Matched) -> str:
    """Why a block is not on the new board."""
    element = after.book.board.circuit.element(match.after(block.element.path))
    if element is not None and element.part and find_part(after.project.parts, element.part) is None:
        near = did_you_mean(element.part, after.project.parts.by_name)
        return f"{block.path}: no part file in force describes {element.part}{near}"
    return f"{block.path} is gone: nothing on the new board answers to it"


def _graver(before: Side, after: Side, match: Matched) -> Iterator[str]:
    """The verdicts that are graver than before, each in the words of its finding."""
    for entry in worse(carried(before.judged, after.judged, match), after.judged):
        about = [f for f in after.judged.findings if (f.rule, f.subject) == (entry.rule, entry.subject)]
        text = about[0].message if about else f"{entry.subject} is {entry.verdict}"
        yield f"{text} [{entry.rule}]"


def carried(before: Assessment, after: Assessment, match: Matched) -> Assessment:
    """The old board's assessment in the names of the new one, so that the two can be held together.

    What is wrong in reading is known again by its words, wherever its line stands now.
    """
    lines = [(f.rule, f.message, f.subject) for f in after.findings if f.subject == str(f.place)]
    tally = [entry._replace(subject=match.subject(entry.subject)) for entry in before.tally]
    for finding in before.findings:
        if finding.subject != str(finding.place):
            continue
        said = (finding.rule, match.message(finding.message))
        same = next((each for each in lines if each[:2] == said), None)
        if same is not None:
            lines.remove(same)
            tally.append(TallyEntry(finding.rule, same[2], "fail"))
    # Where several statements are about one block, the gravest verdict is the one that counts.
    tally.sort(key=lambda entry: GRAVITY.index(entry.verdict))
    return before._replace(tally=tuple(tally))


def _about(side: Side, block: Block) -> list[Expect]:
    """The expectations of a block."""
    statements = side.book.intent.statements
    return [each for each in statements if isinstance(each, Expect) and matches(each.block, block.path)]


def _met(side: Side) -> set[Key]:
    """The expectations that hold over their whole span."""
    return {
        (expect.place, block.path)
        for block in side.book.board.blocks
        for expect in _about(side, block)
        if within(*(fact.value for fact in _expected(side, block, expect)))
    }


def _expected(side: Side, block: Block, expect: Expect) -> tuple[Fact, Fact]:
    """What comes out, and what is wanted."""
    subject = Subject("statement", block.path, expect.place, block, expect)
    return side.book.fact(subject, "expect.actual"), side.book.fact(subject, "expect.wanted")


def _missed(side: Side, block: Block, expect: Expect) -> str:
    """An expectation that does not hold, in words."""
    made, wanted = _expected(side, block, expect)
    if isinstance(made.value, Unknown):
        return (
            f"{block.path}: not proven that its {expect.quantity} is {text_of(wanted)}: {made.value.because}"
        )
    return f"{block.path}: its {expect.quantity} is {text_of(made)}, wanted is {text_of(wanted)}"


def _lost(before: Side, after: Side, pair: Pair, match: Matched, stated: set[str]) -> Iterator[str]:
    """What of a block is not kept, of all that nobody states."""
    old, new = pair.before, pair.after
    if old is None or new is None:
        return
    was, now = work(before.book, old), work(after.book, new)
    if SAME_WORK.get(was, was) != SAME_WORK.get(now, now):
        yield f"{new.path}: {new.part.name} is a {now} here, {old.part.name} was a {was}"
        return
    for kept in keepings(before.book, old, after.book, new):
        if stated & STATED_AS.get(kept.name, frozenset()):
            continue
        lacking = kept.lacking
        if lacking is not None:
            if not untouched(before.book.board, old, after.book.board, new, match):
                side, why = lacking
                yield f"{new.path}: not proven that {WORDS[kept.name]} is kept: unknown {side}, {why.because}"
        elif not kept.holds:
            yield f"{new.path}: {WORDS[kept.name]} becomes {text_of(kept.new)}, it was {text_of(kept.old)}"
    if old.part.name != new.part.name:
        yield from same_way(old, new)
        yield from held_on(before.book, old, after.book, new)
        levels = {match.net(net): level for net, level in running_levels(before.book, old).items()}
        for net, level in running_levels(after.book, new).items():
            if levels.get(net, level) != level or level == "?":
                was = levels.get(net, "otherwise")
                runs = f"{new.part.name} runs while {net} is {level}"
                yield f"{new.path}: {runs}, {old.part.name} while it was {was}"


def rest_notes(before: Side, after: Side, match: Matched) -> tuple[str, ...]:
    """What is to be known of outputs that rest open where the old ones held a level, and still are at it."""
    return tuple(
        f"{pair.after.path}: {pair.after.part.name} lets its output go at rest; all that hangs on it leads "
        f"to ground, so it is low as before"
        for pair in match.pairs
        if pair.before is not None
        and pair.after is not None
        and can_rest(before.book, pair.before)
        and fact_of(after.book, pair.after, "output.rest").law == PULLED
        and fact_of(before.book, pair.before, "output.rest").value == "low"
    )


def wanted_of(before: Side, after: Side, match: Matched) -> list[Wanted]:
    """What is wanted of the new board: what is stated and was met, else what the old board does."""
    found: list[Wanted] = []
    was_met = _met(before)
    for pair in match.pairs:
        if pair.before is None or pair.after is None:
            continue
        old, new = pair.before, pair.after
        stated: set[str] = set()
        for expect in _about(after, new):
            if expect.condition is None and (expect.place, old.path) in was_met:
                stated.add(expect.quantity)
                value = _expected(after, new, expect)[1].value
                if isinstance(value, Span | str):
                    found.append(Wanted(new.path, expect.quantity, value))
        for kept in keepings(before.book, old, after.book, new):
            quantity = QUANTITIES.get(kept.name)
            if (
                quantity is None
                or stated & STATED_AS[kept.name]
                or not _can_be_wanted(before, old, new, kept)
            ):
                continue
            value = kept.old.value
            if isinstance(value, Span):
                found.append(Wanted(new.path, quantity, _room(value, kept.new)))
            elif isinstance(value, str):
                found.append(Wanted(new.path, quantity, value))
    return found


def _can_be_wanted(before: Side, old: Block, new: Block, kept: Keeping) -> bool:
    """Whether a search can be asked for a fact: not for what is there whichever code the strap reads."""
    if kept.name == "strap.polarity":
        return new.part.strap is not None
    if kept.name == "output.rest":
        return can_rest(before.book, old) and not (kept.old.value == "low" and pulled_low(old))
    return True


QUANTITIES = {
    "timing.frequency": "frequency",
    "timing.period": "period",
    "timing.duty": "duty",
    "timing.pulse_width": "pulse-width",
    "timing.delay": "delay",
    "timing.delay_rising": "delay-rising",
    "timing.delay_falling": "delay-falling",
    "strap.polarity": "polarity",
    "output.rest": "rest",
}
"""What an expectation calls a fact that is kept."""


def _room(old: Span, new: Fact) -> Span:
    """The old worst-case span with room for the new part's own spread about any nominal in it."""
    spread = new.span if new.span is not None and new.span.middle else old
    below, above = (abs(end / spread.middle - 1) for end in (spread.low, spread.high))
    return Span(old.low * (1 - below), old.middle, old.high * (1 + above), old.unit)
