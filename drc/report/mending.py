"""What mends a board, as a page: causes, a unified diff, what is refused, and what remains."""

import re
from collections.abc import Callable, Iterator
from difflib import unified_diff

from drc.judge.model import Finding, Remedy, TallyEntry
from drc.outcome import Mended, MendedFile
from drc.report.edit_text import told
from drc.report.text import Meaning, Piece, Row, counted, harmless, row, wrapped

_LINE = re.compile(r"[^\r\n]*(?:\r\n|\n|\r|\Z)")


def mending_page(mended: Mended, width: int, shown: Callable[[str], str]) -> list[Row]:
    """The page of one board, `width` columns; the diff's lines are as long as the file's own."""
    rows: list[Row] = []
    for finding, remedy in mended.steps:
        rows += [row(Piece(line, "good")) for line in wrapped(_cause(finding, remedy), width)]
    if mended.files:
        rows.append(())
    for file in mended.files:
        rows += [row(Piece(harmless(line), _meaning(line))) for line in _diff(file, shown(file.path))]
    for finding, remedy, worse in mended.refused:
        rows += [
            (),
            *(row(Piece(line, "warning")) for line in wrapped(_refusal(finding, remedy, worse), width)),
        ]
    left = [finding for finding in mended.left if finding.level != "note"]
    rows += [(), *(row(line) for line in wrapped(_verdict(mended, left), width))]
    for finding in left:
        text = f"{finding.level}: {harmless(finding.message)} [{finding.rule}]"
        rows += [row("  ", Piece(line, finding.level)) for line in wrapped(text, width - 2)]
    return rows


def _cause(finding: Finding, remedy: Remedy) -> str:
    return harmless(
        f"{remedy.why}: {_edits(remedy)} clears {finding.rule} on {finding.block or finding.subject}"
    )


def _edits(remedy: Remedy) -> str:
    return ", ".join(text for edit in remedy.edits for text in told(edit))


def _refusal(finding: Finding, remedy: Remedy, worse: tuple[TallyEntry, ...]) -> str:
    """Why an edit that would clear a finding is not made."""
    spoilt = ", ".join(f"{entry.rule} on {entry.subject} ({entry.verdict})" for entry in worse[:3])
    more = f" and {len(worse) - 3} more" if len(worse) > 3 else ""
    return harmless(
        f"not mended: {_edits(remedy)} would clear {finding.rule} on {finding.block or finding.subject}, "
        f"and would bring {spoilt}{more}"
    )


def _verdict(mended: Mended, left: list[Finding]) -> str:
    """What was done, and what the review after it finds."""
    done = "written" if mended.written else "not written; --write does it"
    made = (
        f"{counted(len(mended.steps), 'remedy', 'remedies')}, {done}" if mended.steps else "nothing to mend"
    )
    after = "nothing at warning or above" if not left else counted(len(left), "finding")
    return f"{made}; the review after it finds {after}"


def _diff(file: MendedFile, path: str) -> Iterator[str]:
    """Lines of a unified diff, line ends taken off."""
    lines = unified_diff(_lines(file.before), _lines(file.after), path, f"{path} (mended)", lineterm="")
    return (line.rstrip("\r\n") for line in lines)


def _lines(text: str) -> list[str]:
    return [line for line in _LINE.findall(text) if line]


def _meaning(line: str) -> Meaning:
    """Lines that come and go stand out; their first character says the same without colour."""
    return "good" if line.startswith("+") else "error" if line.startswith("-") else "quiet"
