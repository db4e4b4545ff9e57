"""Which files are boards, and where the project begins."""

from pathlib import Path

import pytest

from drc.gate.search import find_boards, find_upward, project_root
from drc.trouble import InputError


def tree(folder: Path, *names: str, text: str = "title\n.end\n") -> None:
    """Files of these names below a folder."""
    for name in names:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


def names(folder: Path) -> list[str]:
    """The boards found in a folder, relative to it."""
    return [path.relative_to(folder).as_posix() for path in find_boards([folder])]


def test_a_folder_is_searched_by_suffix_and_sorted(tmp_path: Path) -> None:
    """Netlists are found at any depth by their suffix, in one order on every machine."""
    tree(tmp_path, "b.cir", "a/z.NET", "a/y.sp", "c.txt", "b.intent", "d.toml")
    assert names(tmp_path) == ["a/y.sp", "a/z.NET", "b.cir"]


def test_hidden_files_and_folders_are_skipped(tmp_path: Path) -> None:
    """What begins with a dot is nobody's board."""
    tree(tmp_path, "a.cir", ".b.cir", ".cache/c.cir")
    assert names(tmp_path) == ["a.cir"]


@pytest.mark.parametrize(
    "card", ['.include "sub/b.cir"', ".INC sub/b.cir", ".lib 'sub/b.cir' tt", " .include ./sub/b.cir"]
)
def test_a_file_that_another_includes_is_no_board(tmp_path: Path, card: str) -> None:
    """A shared sheet is reviewed with the boards that include it, not by itself."""
    tree(tmp_path, "sub/b.cir")
    tree(tmp_path, "a.cir", text=f"title\n{card}\n.end\n")
    assert names(tmp_path) == ["a.cir"]


def test_a_named_file_needs_no_suffix_and_counts_once(tmp_path: Path) -> None:
    """What is named is a board, whatever it is called, once however often it is named."""
    tree(tmp_path, "netlist.txt", "a.cir")
    found = find_boards([tmp_path / "netlist.txt", tmp_path, tmp_path / "a.cir"])
    assert [path.name for path in found] == ["netlist.txt", "a.cir"]


def test_everything_wrong_with_the_paths_is_told_at_once(tmp_path: Path) -> None:
    """A missing file and a folder without netlists are two troubles of one error."""
    (tmp_path / "empty").mkdir()
    with pytest.raises(InputError) as caught:
        find_boards([tmp_path / "empty", tmp_path / "none.cir"])
    messages = [trouble.message for trouble in caught.value.troubles]
    assert "no netlist in this folder" in messages[0]
    assert "no such file or folder" in messages[1]


def test_the_root_is_the_settings_folder_then_the_repository(tmp_path: Path) -> None:
    """Reported paths begin at the settings file, else at the repository, else above all boards."""
    tree(tmp_path, "repo/hw/a.cir", "repo/tickproof.toml")
    board = tmp_path / "repo" / "hw" / "a.cir"
    assert project_root([board], tmp_path / "repo" / "tickproof.toml") == tmp_path / "repo"
    (tmp_path / "repo" / ".git").mkdir()
    assert project_root([board], None) == tmp_path / "repo"


def test_without_settings_and_repository_the_root_is_above_all_boards(tmp_path: Path) -> None:
    """Boards in two folders have their common folder as root."""
    tree(tmp_path, "x/a.cir", "y/b.cir")
    assert project_root([tmp_path / "x" / "a.cir", tmp_path / "y" / "b.cir"], None) == tmp_path


def test_settings_are_found_upward(tmp_path: Path) -> None:
    """The nearest file above counts."""
    tree(tmp_path, "tickproof.toml", "a/b/c.cir")
    assert find_upward("tickproof.toml", tmp_path / "a" / "b") == tmp_path / "tickproof.toml"
    tree(tmp_path, "a/tickproof.toml")
    assert find_upward("tickproof.toml", tmp_path / "a" / "b") == tmp_path / "a" / "tickproof.toml"
