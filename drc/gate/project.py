"""A run's named inputs, all checked before any board is read."""

import os
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from drc.blocks.model import Parts
from drc.blocks.parts import load_parts
from drc.circuit.model import SourceFile
from drc.facts.options import FactOptions
from drc.gate.collect import Depth
from drc.gate.known import Known, Taking, read_known
from drc.gate.search import SETTINGS_NAME, find_boards, find_upward, project_root, refused
from drc.gate.settings import Settings, read_settings
from drc.judge.book import load_rules
from drc.judge.rule import RuleBook
from drc.trouble import InputError, Level, Trouble


class Request(NamedTuple):
    """What a run is asked for. None: the settings decide. `date` is today, as ISO 8601.

    Where nothing is `judged`, no rule is read.
    """

    date: str
    paths: Sequence[str | Path] = ()
    intent: str | Path | None = None
    parts: Sequence[str | Path] = ()
    rules: Sequence[str | Path] = ()
    settings: str | Path | None = None
    known: str | Path | None = None
    taking: Taking | None = None
    gate: Level | None = None
    seed: int | None = None
    draws: int | None = None
    depth: Depth = "facts"
    judged: bool = True


class Project(NamedTuple):
    """Inputs that were read and found right, and what the boards are reviewed under."""

    root: Path
    boards: tuple[Path, ...]
    intent: Path | None
    parts: Parts
    rules: RuleBook
    facts: FactOptions
    known: Known | None
    known_file: Path | None
    taking: Taking | None
    gate: Level
    fixed: Level
    date: str
    depth: Depth
    inputs: tuple[SourceFile, ...]

    def shown(self, path: Path) -> str:
        """A path as the review gives it: POSIX, relative to the project root."""
        return shown_path(path, self.root)


def open_project(request: Request) -> Project:
    """Everything that the request names, read and checked. InputError gathers all that is wrong."""
    named = [_absolute(path) for path in request.paths]
    file = _settings_file(request.settings, named)
    settings = Settings() if file is None else read_settings(file)
    home = Path.cwd() if file is None else file.parent
    root = project_root(named or [home], file)
    wrong: list[Trouble] = []
    boards: tuple[Path, ...] = ()
    try:
        boards = find_boards(named or _globbed(home, settings.boards))
        _check_boards(boards, request)
    except InputError as error:
        wrong += error.troubles
    intent = None if request.intent is None else _absolute(request.intent)
    part_files = (*_globbed(home, settings.parts), *map(_absolute, request.parts))
    rule_files = (*_globbed(home, settings.rules), *map(_absolute, request.rules))
    known_file = _known_file(request, settings, home)
    for path in (*part_files, *rule_files, *([intent] if intent else [])):
        if not path.is_file():
            wrong.append(refused(str(path), "no such file").troubles[0])
    if wrong:
        raise InputError(*wrong)
    parts = load_parts(part_files)
    rules = load_rules(rule_files) if request.judged else RuleBook(())
    known = _known(known_file, request, root)
    own = [path for path in (file, intent, known_file) if path is not None and path.exists()]
    kinds = ["settings" if path == file else "intent" if path == intent else "known" for path in own]
    inputs = [SourceFile(str(path), kind, _hash(path)) for path, kind in zip(own, kinds, strict=True)]
    inputs += [SourceFile(path, "parts", digest) for path, digest in parts.files]
    inputs += [SourceFile(path, "rules", digest) for path, digest in rules.files]
    return Project(
        root=root,
        boards=boards,
        intent=intent,
        parts=parts,
        rules=rules,
        facts=_fact_options(request, settings),
        known=known,
        known_file=known_file,
        taking=request.taking,
        gate=request.gate or settings.gate,
        fixed=settings.fixed,
        date=request.date,
        depth=request.depth,
        inputs=tuple(source._replace(path=shown_path(Path(source.path), root)) for source in inputs),
    )


def shown_path(path: Path, root: Path) -> str:
    """A path relative to the root; a relative one is the package's own, and is marked so."""
    if not path.is_absolute():
        return f"tickproof:{path.as_posix()}"
    return Path(os.path.relpath(path, root)).as_posix()


def _absolute(path: str | Path) -> Path:
    """The path from the file system's root, `..` resolved by name alone."""
    return Path(os.path.abspath(path))


def _settings_file(named: str | Path | None, paths: Sequence[Path]) -> Path | None:
    """The settings file that is named, else the one found upward from the boards; one for all of them."""
    if named is not None:
        path = _absolute(named)
        if not path.is_file():
            raise refused(str(path), "no such settings file")
        return path
    folders = {path if path.is_dir() else path.parent for path in paths} or {Path.cwd()}
    found = {find_upward(SETTINGS_NAME, folder) for folder in sorted(folders)}
    if len(found) > 1:
        names = ", ".join(sorted(str(path) for path in found if path is not None))
        raise refused(names, "the boards belong to different projects: review them apart, or name --settings")
    return found.pop()


def _globbed(home: Path, patterns: Sequence[str]) -> list[Path]:
    """The files that the settings' patterns name, sorted. InputError for one that matches nothing."""
    paths: list[Path] = []
    for pattern in patterns:
        found = [home / pattern] if (home / pattern).exists() else sorted(home.glob(pattern))
        if not found:
            raise refused(pattern, f"matches nothing in {home}: mend the pattern in {SETTINGS_NAME}")
        paths += [_absolute(path) for path in found]
    return paths


def _check_boards(boards: Sequence[Path], request: Request) -> None:
    """Refuses a run without boards, and one intent for several."""
    if not boards:
        raise refused("PATH", f"no board is named: name files or folders, or set `boards` in {SETTINGS_NAME}")
    if request.intent is not None and len(boards) > 1:
        raise refused(str(request.intent), f"--intent speaks of one board, and {len(boards)} are named")


def _known_file(request: Request, settings: Settings, home: Path) -> Path | None:
    if request.known is not None:
        return _absolute(request.known)
    return None if settings.known is None else home / settings.known


def _known(path: Path | None, request: Request, root: Path) -> Known | None:
    """The known findings; an empty start where the file is yet to be written."""
    if path is None:
        if request.taking is not None:
            raise refused("--accept", "writes a file of known findings: name it with --known FILE")
        return None
    return read_known(path, shown_path(path, root)) if path.exists() or request.taking is None else None


def _fact_options(request: Request, settings: Settings) -> FactOptions:
    facts = settings.facts
    seed = facts.seed if request.seed is None else request.seed
    draws = facts.draws if request.draws is None else request.draws
    return facts._replace(seed=seed, draws=draws)


def _hash(path: Path) -> str:
    return sha256(path.read_bytes()).hexdigest()
