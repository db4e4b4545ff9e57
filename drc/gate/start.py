"""The command that writes a first settings file, having looked at the folder it is started in."""

import os
import re
import sys
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from drc.bounded import file_bytes
from drc.gate.output import check_writable, print_page, write_whole
from drc.gate.refusal import refused
from drc.gate.search import SETTINGS_NAME, find_boards
from drc.gate.settings import KEYS
from drc.report.text import Piece, row
from drc.trouble import InputError

_PART = re.compile(r"^[ \t]*\[[ \t]*part\.", re.MULTILINE)
_RULE_SUFFIX, _PART_SUFFIX = ".rule", ".toml"
_LARGEST = 1_000_000
"""Bytes beyond which a TOML file is not looked into: no part file is as large."""


def start() -> int:
    """Writes the file into the current folder. InputError where there is one already."""
    path = Path.cwd() / SETTINGS_NAME
    if path.exists():
        raise refused(str(path), "is there already: change it, or take it away first")
    check_writable(path)
    found = seen(Path.cwd())
    write_whole(path, first_settings(found))
    what = ", ".join(f"{key} {' '.join(patterns)}" for key, patterns in found.items() if patterns)
    print_page(
        [row("wrote ", Piece(SETTINGS_NAME, "name"), f": {what or 'no boards were found here'}")], sys.stdout
    )
    return 0


def seen(folder: Path) -> dict[str, tuple[str, ...]]:
    """Patterns for the boards, part files and rule books below a folder, by their key in the settings."""
    try:
        boards: Iterable[Path] = find_boards([folder])
    except InputError:
        boards = ()
    return {
        "boards": _patterns(folder, boards),
        "parts": _part_files(folder),
        "rules": _patterns(folder, _files(folder, _RULE_SUFFIX)),
    }


def first_settings(found: Mapping[str, tuple[str, ...]]) -> str:
    """The text of a settings file: what was found is set, the rest are comments with their meaning."""
    lines = [
        "# Settings of tickproof, found upward from the boards. Take away the first # of a line to set it."
    ]
    table = meaning = ""
    for name, key in KEYS.items():
        group, _, own = name.rpartition(".")
        if group != table:
            lines += ["", f"[{group}]"]
            table = group
        listed = ", ".join(f'"{pattern}"' for pattern in found.get(name, ()))
        setting = f"{own} = [{listed}]" if listed else f"# {own} = {key.example}"
        lines.append(setting if key.meaning == meaning else f"{setting:<38}  # {key.meaning}")
        meaning = key.meaning
    return "\n".join(lines) + "\n"


def _files(folder: Path, suffix: str) -> Iterator[Path]:
    """The files below a folder with a suffix, hidden ones left out."""
    for top, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        yield from (Path(top) / name for name in sorted(files) if name.endswith(suffix) and name[0] != ".")


def _part_files(folder: Path) -> tuple[str, ...]:
    """Patterns for part files; each by its name where other files in TOML lie beside, as the settings do."""
    described = {path: _is_part_file(path) for path in _files(folder, _PART_SUFFIX)}
    mixed = {path.parent for path, is_part in described.items() if not is_part} | {folder}
    named: dict[str, None] = {}
    for path in (path for path, is_part in described.items() if is_part):
        alone = path.relative_to(folder).as_posix()
        named.update(dict.fromkeys([alone] if path.parent in mixed else _patterns(folder, [path])))
    return tuple(named)


def _is_part_file(path: Path) -> bool:
    """Whether a TOML file describes parts."""
    try:
        return _PART.search(file_bytes(path, _LARGEST).decode("utf-8")) is not None
    except (OSError, UnicodeDecodeError):
        return False


def _patterns(folder: Path, paths: Iterable[Path]) -> tuple[str, ...]:
    """One pattern a folder and suffix, in order."""
    found: dict[str, None] = {}
    for path in paths:
        parent = path.relative_to(folder).parent.as_posix()
        found.setdefault(f"{'' if parent == '.' else parent + '/'}*{path.suffix}")
    return tuple(found)
