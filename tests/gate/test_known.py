"""The file of known findings, and a finding's life with it."""

import json
from collections.abc import Callable
from errno import EACCES
from pathlib import Path

import pytest

from drc.facts.model import Fact
from drc.gate.fingerprint import fingerprint
from drc.gate.known import Known, known_text, mark_known, read_known, starting_point
from drc.gate.own_rules import GONE
from drc.judge.model import Finding
from drc.outcome import BoardOutcome, Ruling
from drc.quantity.span import exact
from drc.trouble import InputError, Place


def finding(rule: str = "strap-open", block: str = "XU1", value: float = 1.0, line: int = 3) -> Finding:
    """A finding with one number in its evidence."""
    evidence = {"strap.ratio": Fact("strap.ratio", exact(value))}
    place = Place("a.cir", line, 1)
    return Finding(rule, "error", "fail", block, place, f"{block} is odd", block, "ZZ10", evidence)


def board(*findings: Finding, path: str = "a.cir", error: str | None = None) -> BoardOutcome:
    """A board with these findings, all new."""
    rulings = tuple(Ruling(item, "new", fingerprint(item)) for item in findings)
    return BoardOutcome(path, "0" * 64, 1, 1, error, (), rulings, (), ())


def kept(root: Path, *boards: BoardOutcome) -> Known:
    """The file that a first `--accept` writes about these boards, read back."""
    start = starting_point(boards, None, root, "gone")
    path = root / "known.json"
    path.write_text(known_text(mark_known(boards, start, root, None), start, root), encoding="utf-8")
    return read_known(path, "known.json")


def states(*boards: BoardOutcome) -> list[str]:
    """The state of each finding, those that are gone by the name of their rule."""
    rulings = [ruling for item in boards for ruling in item.rulings]
    return [GONE.name if ruling.finding.rule == GONE.name else ruling.state for ruling in rulings]


def test_what_was_accepted_is_known_afterwards(tmp_path: Path) -> None:
    """A finding that the file holds does not count as new."""
    known = kept(tmp_path, board(finding()))
    assert states(*mark_known([board(finding())], known, tmp_path, "note")) == ["known"]


def test_a_second_of_the_same_kind_is_new(tmp_path: Path) -> None:
    """The file counts: one known finding covers one, not two."""
    known = kept(tmp_path, board(finding()))
    assert states(*mark_known([board(finding(), finding(line=9))], known, tmp_path, "note")) == [
        "known",
        "new",
    ]


def test_renumbered_lines_and_moved_files_stay_known(tmp_path: Path) -> None:
    """A finding on another line, or on a board that moved, is the same one."""
    known = kept(tmp_path, board(finding()))
    moved = board(finding(line=70), path="new/place.cir")
    assert states(*mark_known([moved], known, tmp_path, "note")) == ["known"]


def test_a_board_that_is_merely_not_reviewed_lends_nothing(tmp_path: Path) -> None:
    """An entry of a board that still exists does not cover the same finding on another board."""
    (tmp_path / "a.cir").write_text("title\n", encoding="utf-8")
    known = kept(tmp_path, board(finding()))
    assert states(*mark_known([board(finding(), path="b.cir")], known, tmp_path, "note")) == ["new"]


@pytest.mark.parametrize("changed", [finding(value=2.0), finding(block="XU2"), finding(rule="strap-shorted")])
def test_a_changed_meaning_is_new_and_the_old_one_is_gone(tmp_path: Path, changed: Finding) -> None:
    """Another value, block or rule is another finding."""
    known = kept(tmp_path, board(finding()))
    assert states(*mark_known([board(changed)], known, tmp_path, "note")) == ["new", GONE.name]


def test_a_gone_finding_is_reported_at_the_level_asked_for(tmp_path: Path) -> None:
    """A fixed finding is told until the file is written again, and can be made to fail."""
    known = kept(tmp_path, board(finding()))
    (after,) = mark_known([board()], known, tmp_path, "error")
    assert [ruling.finding.level for ruling in after.rulings] == ["error"]
    assert after.rulings[0].finding.place == Place("known.json", 2)


def test_of_a_board_that_was_not_read_nothing_is_said_to_be_gone(tmp_path: Path) -> None:
    """A board that could not be read keeps its known findings."""
    known = kept(tmp_path, board(finding()))
    after = mark_known([board(error="is empty")], known, tmp_path, "note")
    assert states(*after) == []
    assert json.loads(known_text(after, known, tmp_path))["findings"] == [] or (tmp_path / "a.cir").exists()


def test_writing_again_drops_what_is_gone_and_takes_in_nothing(tmp_path: Path) -> None:
    """`--accept` on an existing file lets it shrink; a new finding stays new."""
    known = kept(tmp_path, board(finding(), finding(block="XU2")))
    start = starting_point([board(finding(block="XU3"), finding())], known, tmp_path, "gone")
    assert start is known
    after = mark_known([board(finding(block="XU3"), finding())], known, tmp_path, None)
    assert states(*after) == ["new", "known"]
    assert [item["block"] for item in json.loads(known_text(after, known, tmp_path))["findings"]] == ["XU1"]


def test_writing_all_takes_in_what_is_new(tmp_path: Path) -> None:
    """`--accept all` makes everything that is met known."""
    known = kept(tmp_path, board(finding()))
    boards = [board(finding(), finding(block="XU2"))]
    start = starting_point(boards, known, tmp_path, "all")
    after = mark_known(boards, start, tmp_path, None)
    assert states(*after) == ["known", "known"]
    assert len(json.loads(known_text(after, start, tmp_path))["findings"]) == 2


def test_entries_of_other_boards_are_kept_when_some_are_reviewed(tmp_path: Path) -> None:
    """A run over one board does not forget what is known of another."""
    (tmp_path / "b.cir").write_text("title\n", encoding="utf-8")
    known = kept(tmp_path, board(finding()), board(finding(block="XU9"), path="b.cir"))
    after = mark_known([board(finding())], known, tmp_path, None)
    assert [item["board"] for item in json.loads(known_text(after, known, tmp_path))["findings"]] == [
        "a.cir",
        "b.cir",
    ]


def test_a_refusal_says_what_was_found_what_was_expected_and_what_to_do(tmp_path: Path) -> None:
    """Missing on disk or among what is staged, not to be read, no text, no JSON: each in whole words."""

    def told(read: Callable[[Path], bytes], where: str = "") -> str:
        with pytest.raises(InputError) as caught:
            read_known(tmp_path / "k.json", "k.json", read, where)
        (trouble,) = caught.value.troubles
        return f"{trouble.place}: {trouble.message}"

    def barred(_: Path) -> bytes:
        raise PermissionError(EACCES, "Permission denied")

    missing = "k.json: no such file{}: expected a file of known findings; write it with --accept{}"
    assert told(Path.read_bytes) == missing.format("", "")
    assert told(Path.read_bytes, " among what is staged") == missing.format(
        " among what is staged", ", then add it"
    )
    expected = "expected a file of known findings"
    assert told(barred) == f"k.json: cannot be read: Permission denied: {expected}"
    assert told(lambda _: b"\xff") == f"k.json: is not UTF-8 text: {expected}, as --accept writes it"
    assert told(lambda _: b"{\n  x") == f"k.json:2:3: is not JSON: {expected}, as --accept writes it"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (None, "no such file"),
        ("{", "is not JSON"),
        ("[]", "is not a file of known findings"),
        ('{"schema": "tickproof-known/1"}', "has no list"),
        ('{"schema": "tickproof-known/1", "findings": [{"count": 1}]}', "finding 1 is incomplete"),
        (
            '{"schema": "tickproof-known/1", "findings": [{"fingerprint": "a", "board": "b", "count": 0}]}',
            "finding 1 is incomplete",
        ),
    ],
)
def test_a_missing_or_wrong_file_is_refused(tmp_path: Path, text: str | None, message: str) -> None:
    """Nothing is taken as known on the strength of a file that is not one of ours."""
    path = tmp_path / "known.json"
    if text is not None:
        path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=message):
        read_known(path, "known.json")
