"""Which files are read: the board and what it includes, under the project root, within limits."""

import re
from pathlib import Path

from drc.circuit.model import SourceFile
from drc.netlist.bounds import check_bytes, check_lines
from drc.netlist.file_reader import FileReader
from drc.netlist.lines import SourceLines
from drc.netlist.options import ReadOptions
from drc.netlist.source import decode
from drc.netlist.structure import Structure
from drc.netlist.words import Word

_LOST_ELEMENT = re.compile(r"[RCLrcl]\w*[ \t]+\S+[ \t]+\S+[ \t]+\d[\w.]*[ \t]*\Z")


class Files:
    """Opens files for a structure; included ones are looked for beside the including one, then the root."""

    def __init__(self, root: Path, options: ReadOptions) -> None:
        self.root, self.options = root.resolve(), options
        self.read: list[SourceFile] = []
        self._numbers: dict[Path, int] = {}
        self._paths: dict[int, Path] = {}
        self._stack: list[tuple[Path, str | None]] = []
        self._entered = 0

    def name(self, path: Path) -> str:
        """The path as reported: POSIX, relative to the root where it lies under it."""
        try:
            return path.relative_to(self.root).as_posix()
        except ValueError:
            return path.as_posix()

    def board(self, structure: Structure, path: Path, data: bytes) -> None:
        """Reads the board file itself."""
        number = self._add(structure, path, data, "board")
        self._stack.append((path, None))
        lines = structure.sources[number]
        reader = FileReader(structure, number, 0)
        title = takes_title(lines)
        if title:
            structure.title = (
                lines.text[int(lines.starts[0]) : int(lines.ends[0])].strip().lstrip("*").strip()
            )
        reader.run(lines.logical(title))
        if title and _LOST_ELEMENT.match(structure.title):
            message = (
                "line 1 is always the title, yet this one reads as an element; put a title line before it"
            )
            structure.note("title-like-element", "note", (lines, 0, int(lines.ends[0])), message)

    def _add(self, structure: Structure, path: Path, data: bytes, kind: str) -> int:
        number = len(structure.sources)
        check_bytes(data, self.name(path), self.options.limits)
        source = decode(data, self.name(path))
        lines = SourceLines(source)
        check_lines(lines, self.options.limits)
        structure.sources.append(lines)
        self._numbers[path], self._paths[number] = number, path
        self.read.append(SourceFile(source.path, kind, source.digest))
        return number

    def include(self, reader: FileReader, words: list[Word], section: str | None) -> None:
        """Reads an included file, or one section of a library, where its line stands."""
        word = words[1]
        name = word.text.strip("\"'")
        if word.kind == "w":
            name = (
                reader.lines.text[word.start : words[2].start if section else words[-1].end]
                .strip()
                .strip("\"'")
            )
        self.fetch(reader, word, name, section)

    def fetch(self, reader: FileReader, word: Word, name: str, section: str | None) -> None:
        """Finds and reads the file `name`."""

        def refuse(kind: str, message: str) -> None:
            reader.note(kind, "error", word, message)

        if "$" in name or "%" in name or name.startswith("~"):
            refuse(
                "include-variable", f"'{name}' names a variable, and none is expanded; write the path itself"
            )
            return
        limits = self.options.limits
        if len(self._stack) >= limits.include_depth:
            refuse("include-too-deep", f"includes nest deeper than {limits.include_depth}; flatten them")
            return
        if self._entered >= limits.include_files:
            refuse("too-many-files", f"more than {limits.include_files} files are included; join some")
            return
        path, seen = self._find(self._paths[reader.number].parent, name)
        if path is None:
            if seen:
                refuse(
                    "include-outside", f"'{name}' lies outside the project root; allow its folder in settings"
                )
            else:
                refuse(
                    "include-not-found",
                    f"'{name}' was not found beside this file nor at the root; mend the path",
                )
            return
        key = (path, section.lower() if section else None)
        if key in self._stack:
            chain = " -> ".join(self.name(p) for p, _ in [*self._stack, key])
            refuse("include-loop", f"'{name}' includes itself ({chain}); take one of the lines out")
            return
        self._enter(reader, path, key, word)

    def _find(self, beside: Path, name: str) -> tuple[Path | None, bool]:
        """The file, or None and whether one exists that may not be read."""
        outside = False
        roots = (self.root, *(root.resolve() for root in self.options.include_roots))
        plain = name.replace("\\", "/")
        for folder in (beside, self.root, *roots[1:]):
            try:
                path = self.options.resolve(folder / plain)
                if not self.options.is_file(path):
                    continue
            except (OSError, ValueError):
                continue
            if any(path.is_relative_to(root) for root in roots):
                return path, False
            outside = True
        return None, outside

    def _enter(self, reader: FileReader, path: Path, key: tuple[Path, str | None], word: Word) -> None:
        structure = reader.structure
        number = self._numbers.get(path)
        if number is None:
            try:
                data = self.options.source(path)
            except OSError as error:
                message = f"'{self.name(path)}' can't be read: {error.strerror or error}"
                reader.note("include-not-found", "error", word, message)
                return
            number = self._add(structure, path, data, "include")
        self._entered += 1
        self._stack.append(key)
        inner = FileReader(structure, number, reader.scope)
        logical = structure.sources[number].logical(title=False)
        section = key[1]
        if not inner.run(logical, section):
            message = f"'{self.name(path)}' has no section '{section}'; name one that it has"
            reader.note("section-not-found", "error", word, message)
        self._stack.pop()


def takes_title(lines: SourceLines) -> bool:
    """Whether the first line is a title: it is, unless it is a card of a library, with its leading dot."""
    first = lines.text[: int(lines.ends[0])].lstrip() if lines.starts.size else ""
    return not first.startswith(".")
