"""Whatever is taken away from a right board, the review says so: it never goes on passing in silence."""

import re
import shutil
from pathlib import Path

import pytest

import drc
from drc.outcome import BoardOutcome
from tests.samples.boards import CLEAN, STATION, board_file

OVER_LIMIT = "supply-over-limit"
ASSUMED = "intent-rests-on-assumption"
NO_INTENT = "block-without-intent"
OUTSIDE = "timing-outside-intent"
OPEN_STRAP = "strap-open"
OPEN_RATE = "rate-open"

DELETIONS: tuple[tuple[str, str, str, str], ...] = (
    ("lamp", "supply", r"\*@ supply |vreg ", OVER_LIMIT),
    ("lamp", "tolerance", r"\*@ assume ", ASSUMED),
    ("lamp", "ambient", r"\*@ ambient ", ASSUMED),
    ("lamp", "intent", r"\*@ expect ", NO_INTENT),
    ("lamp", "upper strap resistor of XU1", r"r1 ", OUTSIDE),
    ("lamp", "lower strap resistor of XU1", r"r2 ", OUTSIDE),
    ("lamp", "both strap resistors of XU1", r"r1 |r2 ", OPEN_STRAP),
    ("lamp", "timing resistor of XU1", r"r3 ", OPEN_RATE),
    ("lamp", "upper strap resistor of XU2", r"r4 ", OUTSIDE),
    ("lamp", "lower strap resistor of XU2", r"r5 ", "strap-code-reserved"),
    ("lamp", "timing resistor of XU2", r"r6 ", OPEN_RATE),
    ("horn", "supply", r"XREG ", OVER_LIMIT),
    ("horn", "battery statement", r"supply ", OVER_LIMIT),
    ("horn", "tolerance of the timing resistors", r"RT(\d RATE\d 0 \{\w+\})  *tol=1% tc1=100u", ASSUMED),
    ("horn", "header of the slow oscillator", r"\.subckt HA20", OVER_LIMIT),
    ("horn", "header of the one-shot", r"\.subckt HA40", OVER_LIMIT),
    ("horn", "header of the oscillator", r"\.subckt HA10", OVER_LIMIT),
    ("horn", "intent", r"expect ", NO_INTENT),
    ("horn", "strap divider of XU1", r"XS1 ", OPEN_STRAP),
    ("horn", "strap divider of XU2", r"XS2 ", OPEN_STRAP),
    ("horn", "strap divider of XU3", r"XS3 |\+ ", OPEN_STRAP),
    ("horn", "upper strap resistors of the divider", r"RU ", OUTSIDE),
    ("horn", "lower strap resistors of the divider", r"RD ", OUTSIDE),
    ("horn", "timing resistor of XU1", r"RT1 ", OPEN_RATE),
    ("horn", "timing resistor of XU2", r"RT2 ", OPEN_RATE),
    ("horn", "timing resistor of XU3", r"RT3 ", OPEN_RATE),
    ("door", "supply", r"XREG ", OVER_LIMIT),
    ("door", "battery statement", r"\*@ supply ", OVER_LIMIT),
    ("door", "tolerance", r"\*@ assume ", ASSUMED),
    ("door", "intent", r"\*@ expect ", NO_INTENT),
    ("door", "upper strap resistor", r"R3 ", OUTSIDE),
    ("door", "lower strap resistor", r"R4 ", "strap-code-reserved"),
    ("door", "timing resistor", r"R5 ", OPEN_RATE),
    ("dimmer", "supply", r"XU1 ", "supply-inferred"),
    ("dimmer", "tolerance", r"\*@ assume ", ASSUMED),
    ("dimmer", "intent", r"\*@ expect ", NO_INTENT),
    ("dimmer", "upper strap resistor", r"R1 ", OUTSIDE),
    ("dimmer", "lower strap resistor", r"R2 ", "strap-code-reserved"),
    ("dimmer", "timing resistor", r"R3 ", OPEN_RATE),
    ("dimmer", "upper resistor of the duty divider", r"R4 ", OUTSIDE),
    ("dimmer", "lower resistor of the duty divider", r"R5 ", OUTSIDE),
    ("relay", "supply", r"\*@ supply |V1 ", ASSUMED),
    ("relay", "tolerance", r"\*@ assume ", ASSUMED),
    ("relay", "intent", r"\*@ expect ", NO_INTENT),
    ("relay", "upper strap resistor", r"R1 ", OUTSIDE),
    ("relay", "lower strap resistor", r"R2 ", "strap-code-reserved"),
    ("relay", "timing resistor", r"R3 ", OPEN_RATE),
    ("siren", "supply", r"supply ", OVER_LIMIT),
    ("siren", "tolerance", r"assume ", ASSUMED),
    ("siren", "intent", r"expect ", NO_INTENT),
    ("siren", "upper strap resistor", r".*\(instance R1 ", OUTSIDE),
    ("siren", "lower strap resistor", r".*\(instance R2 ", OUTSIDE),
    ("siren", "timing resistor", r".*\(instance R3 ", OPEN_RATE),
    ("bilge", "supply", r"\*@ supply |V1 ", OVER_LIMIT),
    ("bilge", "tolerance", r"\*@ assume ", ASSUMED),
    ("bilge", "intent", r"\*@ expect ", NO_INTENT),
    ("bilge", "timing resistor", r"R1 ", OUTSIDE),
    ("bilge", "timing capacitor", r"C1 ", OUTSIDE),
)
"""Board, what is taken away, the lines that hold it, and the rule that must speak then."""


def without(folder: Path, name: str, lines: str) -> BoardOutcome:
    """The review of a board with the lines that begin so taken away (for a tolerance: only its words)."""
    copy = folder / "station"
    shutil.copytree(STATION, copy)
    taken = 0
    for path in (board_file(copy, name), copy / f"{name}.intent"):
        if not path.exists():
            continue
        kept: list[str] = []
        for line in path.read_text(encoding="utf-8").splitlines(keepends=True):
            match = re.match(lines, line)
            taken += match is not None
            if match is None:
                kept.append(line)
            elif "tol=" in lines:
                kept.append(re.sub(r"tol=.*", "", line))
            elif line.startswith(".subckt"):
                kept.append("* header lost\n")
        text = "".join(kept).replace("* header lost\n.ends\n", "* header lost\n")
        path.write_text(text, encoding="utf-8")
    assert taken, f"nothing in {name} begins with {lines}"
    (board,) = drc.review(board_file(copy, name)).boards
    assert board.error is None, board.error
    return board


def test_every_right_board_has_each_of_its_inputs_taken_away() -> None:
    """Each clean board has rows for supply, tolerance, intent and timing resistor."""
    for name in CLEAN:
        labels = " ".join(label for board, label, _, _ in DELETIONS if board == name)
        for word in ("supply", "tolerance", "intent", "timing resistor"):
            assert word in labels, (name, word)


@pytest.mark.parametrize(
    ("name", "label", "lines", "rule"), DELETIONS, ids=[f"{d[0]}: {d[1]}" for d in DELETIONS]
)
def test_taking_an_input_away_never_leaves_all_passing(
    name: str, label: str, lines: str, rule: str, tmp_path: Path
) -> None:
    """The rule that depends on the input gives fail, at-risk or unproven, and there is a finding of it."""
    board = without(tmp_path, name, lines)
    verdicts = {entry.verdict for entry in board.tally if entry.rule == rule}
    assert verdicts & {"fail", "at-risk", "unproven"}, f"{label}: {rule} gave {verdicts}"
    assert rule in {ruling.finding.rule for ruling in board.rulings}
