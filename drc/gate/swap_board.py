"""One board before and after a swap: what changed, what was tried, and the verdict on it."""

from collections import Counter
from collections.abc import Hashable, Mapping, Sequence
from pathlib import Path

from drc.gate.swap_changes import changes
from drc.gate.swap_match import Matched
from drc.gate.swap_side import Side, edited_project, side_of
from drc.gate.swap_verdict import carried, objections, rest_notes, wanted_of
from drc.judge.model import Edit
from drc.netlist.source import decode
from drc.outcome import BlockSwap, BoardOutcome, BoardSwap, MendedFile, Ruling
from drc.repair.restore import restore
from drc.repair.trial import changed_files
from drc.report.edit_text import told
from drc.report.text import counted

_TOLD = 3
"""How many of the things that speak against a replacement its reason names."""


def compared(before: Side, after: Side, match: Matched, files: Mapping[Path, bytes]) -> BoardSwap:
    """A board before and after; `files` gives the bytes of files as they were before any edit of ours."""
    against = objections(before, after, match)
    found = BoardSwap(
        "drop-in",
        _kept(match),
        before.outcome,
        after.outcome,
        _blocks(before.outcome, after.outcome, match),
        *gained_and_lost(before.outcome, after.outcome, match),
        notes=rest_notes(before, after, match),
    )
    if not against:
        return found
    return _restored(_refused(found, (), against), before, after, match, files)


def _restored(
    found: BoardSwap, before: Side, after: Side, match: Matched, files: Mapping[Path, bytes]
) -> BoardSwap:
    """The comparison with the edits that bring the old timing back, and the verdict that rests on them.

    `found` is the one without, and holds what speaks against the new parts as they are.
    """
    old = carried(before.judged, after.judged, match)
    blocks = {pair.after.path: pair.before for pair in match.pairs if pair.after and pair.before}
    restored = restore(after.bench, wanted_of(before, after, match), old, blocks)
    if not restored.edits:
        return _refused(found, restored.lacking, found.objections)
    changed = changed_files(after.bench, restored.edits)
    mended = side_of(after.path, edited_project(after.project, changed), lambda *_: after.stated)
    found = found._replace(
        edits=restored.edits,
        why=restored.why,
        restored=mended.outcome,
        files=tuple(_file(path, data, files, after) for path, data in sorted(changed.items())),
        left=gained_and_lost(before.outcome, mended.outcome, match)[0],
        notes=rest_notes(before, mended, match),
    )
    left = objections(before, mended, match)
    if left:
        return _refused(found, restored.lacking, left)
    reason = _with(restored.edits, after)
    return found._replace(verdict="drop-in with changed values", reason=reason, objections=())


def _refused(found: BoardSwap, lacking: Sequence[str], against: Sequence[str]) -> BoardSwap:
    """The comparison as not a replacement: what no edit mends first, else what speaks against it."""
    every = tuple(dict.fromkeys([*lacking, *against]))
    told = lacking or every[:_TOLD]
    left = len(every) - len(told)
    reason = "; ".join([*told, *([f"and {counted(left, 'reason')} more"] if left else [])])
    return found._replace(verdict="not a replacement", reason=reason, objections=every)


def _kept(match: Matched) -> str:
    """Why it is a drop-in, in words."""
    what = ", ".join(_new_parts(match).values()) or "every timing block keeps its part"
    return f"{what}: nothing is graver than before, what the old board meets is met, and the rest is kept"


def _new_parts(match: Matched) -> dict[str, str]:
    """The blocks with another part, by path: `XU1 HA10 -> BR10`."""
    return {
        pair.after.path: f"{pair.after.path} {pair.before.part.name} -> {pair.after.part.name}"
        for pair in match.pairs
        if pair.before and pair.after and pair.before.part.name != pair.after.part.name
    }


def _with(edits: Sequence[Edit], after: Side) -> str:
    """The edits in words: values as they change, connections counted."""
    circuit = after.book.board.circuit
    values: list[str] = []
    nets: Counter[str] = Counter()
    for edit in edits:
        element = circuit.element(edit.element)
        if element is not None and edit.token in element.pin_tokens:
            nets[edit.element] += 1
        else:
            values += told(edit)
    values += [f"{counted(number, 'net')} of {element} on other pins" for element, number in nets.items()]
    return f"with {', '.join(values)}" + (" (which takes another layout)" if nets else "")


def _file(path: Path, data: bytes, files: Mapping[Path, bytes], after: Side) -> MendedFile:
    """A file as it was and as it is with the edits made."""
    first = files.get(path)
    if first is None:
        first = after.project.tree.read(path)
    return MendedFile(after.project.shown(path), decode(first, "").text, decode(data, "").text)


def _blocks(before: BoardOutcome, after: BoardOutcome, match: Matched) -> tuple[BlockSwap, ...]:
    """The blocks in pairs, with what changed."""
    old, new = ({each.block.path: each for each in board.blocks} for board in (before, after))
    found = []
    parts = _new_parts(match)
    for pair in match.pairs:
        one = old[pair.before.path] if pair.before else None
        other = new[pair.after.path] if pair.after else None
        others = [text for path, text in parts.items() if pair.after is None or path != pair.after.path]
        changed = changes(one, other, match, others) if one is not None and other is not None else ()
        found.append(BlockSwap(one, other, pair.by, changed))
    return tuple(found)


def gained_and_lost(
    before: BoardOutcome, after: BoardOutcome, match: Matched
) -> tuple[tuple[Ruling, ...], tuple[Ruling, ...]]:
    """Findings that are new, and that are gone: by fingerprint, counted.

    One that says the same of the same thing with other figures is neither: it was there, and still is.
    """
    old, new = before.rulings, after.rulings
    for known in (lambda ruling, _: ruling.fingerprint, _about):
        olds, news = [known(r, match) for r in old], [known(r, None) for r in new]
        old, new = _not_among(old, olds, news), _not_among(new, news, olds)
    return new, old


def _about(ruling: Ruling, match: Matched | None) -> tuple[str, ...]:
    """What a finding says of what, in the names of the board after; one about a line by its words."""
    finding = ruling.finding
    if finding.subject == str(finding.place):
        return finding.rule, finding.message if match is None else match.message(finding.message)
    return finding.rule, finding.verdict, finding.subject if match is None else match.subject(finding.subject)


def _not_among(
    rulings: Sequence[Ruling], keys: Sequence[Hashable], others: Sequence[Hashable]
) -> tuple[Ruling, ...]:
    """The rulings whose key the other board does not have, or has less often."""
    left = Counter(others)
    found = []
    for ruling, key in zip(rulings, keys, strict=True):
        if left[key]:
            left[key] -= 1
        else:
            found.append(ruling)
    return tuple(found)
