"""The first settings file."""

from pathlib import Path

from drc.gate.settings import KEYS, Settings, read_settings
from drc.gate.start import first_settings, seen


def laid(folder: Path) -> Path:
    """A repository with boards, a part file, a rule book, and things that are none of these."""
    for name, text in {
        "hw/a.cir": "title\n.end\n",
        "hw/b.cir": "title\n.end\n",
        "old/c.sp": "title\n.end\n",
        "parts/house.toml": "[part.ZZ1]\n",
        "pyproject.toml": "[project]\n",
        "rules/house.rule": "",
        ".venv/x.cir": "title\n",
    }.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def test_boards_parts_and_rules_are_found(tmp_path: Path) -> None:
    """What lies in the repository is named by pattern; what only looks alike is not."""
    assert seen(laid(tmp_path)) == {
        "boards": ("hw/*.cir", "old/*.sp"),
        "parts": ("parts/*.toml",),
        "rules": ("rules/*.rule",),
    }


def test_part_files_beside_other_files_are_named_one_by_one(tmp_path: Path) -> None:
    """A pattern would take in the settings file itself, or a project's, and no review would start."""
    laid(tmp_path)
    for name, text in {
        "own.toml": "[part.ZZ2]\n",
        "mixed/p.toml": "[part.ZZ3]\n",
        "mixed/q.toml": "[x]\n",
    }.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    assert seen(tmp_path)["parts"] == ("own.toml", "mixed/p.toml", "parts/*.toml")


def test_the_file_that_is_written_can_be_read(tmp_path: Path) -> None:
    """The first settings file is a right one, and sets what was found and nothing else."""
    path = tmp_path / "tickproof.toml"
    path.write_text(first_settings(seen(laid(tmp_path))), encoding="utf-8")
    settings = read_settings(path)
    assert settings.boards == ("hw/*.cir", "old/*.sp")
    assert settings._replace(boards=(), parts=(), rules=()) == Settings()


def test_every_commented_line_is_right_when_its_mark_is_taken_away(tmp_path: Path) -> None:
    """Each example in the file is a value that its key takes."""
    lines = first_settings({}).splitlines()
    settings = [line.removeprefix("# ") for line in lines[1:]]
    path = tmp_path / "tickproof.toml"
    path.write_text("\n".join(settings), encoding="utf-8")
    assert read_settings(path).gate == "error"
    assert sum(" = " in line for line in settings) == len(KEYS)
