"""On a real terminal: its width, colour, and how far an archive is."""

import re
from pathlib import Path

import pytest

from tests.contract.running import CLEAN, WRONG_RATE, lay, tickproof
from tests.contract.terminal import on_terminal

ESCAPE = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")
BOARDS = 20


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    """A folder with many boards."""
    lay(tmp_path, {f"old/{n:02}.cir": CLEAN for n in range(BOARDS)})
    return tmp_path


@pytest.mark.parametrize(("columns", "taken"), [(60, 80), (80, 80), (113, 113), (200, 200), (300, 200)])
def test_a_page_is_as_wide_as_the_terminal(tmp_path: Path, columns: int, taken: int) -> None:
    """Between 80 and 200 columns the page takes the terminal's own width, and says the same as in a pipe."""
    lay(tmp_path, {"bell.cir": WRONG_RATE})
    shown = on_terminal(tmp_path, ["review", "bell.cir"], columns)
    piped = tickproof(tmp_path, ["review", "bell.cir"], COLUMNS=str(taken))
    assert shown.code == piped.code == 1
    assert ESCAPE.sub("", shown.out) == piped.out
    assert max(map(len, piped.out.partition("\n")[2].split("\n"))) <= taken


def test_colour_is_for_terminals_that_want_it(tmp_path: Path) -> None:
    """Colour decides nothing: with NO_COLOR, and on a terminal that has none, the words are the same."""
    lay(tmp_path, {"bell.cir": WRONG_RATE})
    coloured = on_terminal(tmp_path, ["review", "bell.cir"]).out
    plain = on_terminal(tmp_path, ["review", "bell.cir"], NO_COLOR="1").out
    dumb = on_terminal(tmp_path, ["review", "bell.cir"], TERM="dumb").out
    assert re.search(r"\x1b\[[0-9;]*3[0-7]m", coloured)
    assert not re.search(r"\x1b\[[0-9;]*3[0-7]m", plain)
    assert "\x1b" not in dumb
    assert ESCAPE.sub("", coloured) == ESCAPE.sub("", plain) == dumb


def test_an_archive_shows_how_far_it_is(archive: Path) -> None:
    """On a terminal the number of boards done is shown while they are; nothing of it stays."""
    ran = on_terminal(archive, ["review", "old"], errors=True)
    assert ran.code == 0
    assert re.search(rf"\d+/{BOARDS}", ESCAPE.sub("", ran.out))
    assert "reviewing" in ran.out
    last = ran.out.rpartition("\n")[2]
    assert ESCAPE.sub("", last).strip() == "" or "\x1b[2K" in last
    assert "/20" not in ran.err
    assert ran.err.count("nothing to report") <= BOARDS


def test_few_boards_and_pipes_show_no_progress(archive: Path) -> None:
    """One board is done before a bar could be read, and a log is no place for one."""
    one = on_terminal(archive, ["review", "old/00.cir"], errors=True)
    piped = tickproof(archive, ["review", "old"])
    assert (one.code, one.out) == (piped.code, piped.err) == (0, "")


def test_progress_and_findings_do_not_mix(archive: Path) -> None:
    """With progress on standard error's terminal, standard output is byte for byte what a pipe gets."""
    lay(archive, {"old/07.cir": WRONG_RATE})
    shown = on_terminal(archive, ["review", "old", "--jobs", "2"], errors=True, COLUMNS="80")
    piped = tickproof(archive, ["review", "old", "--jobs", "1"])
    assert shown.code == piped.code == 1
    assert shown.err == piped.out
