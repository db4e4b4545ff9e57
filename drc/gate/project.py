"""A run's named inputs, all checked before any board is read."""

import os
from collections.abc import Callable, Mapping, Sequence
from hashlib import sha256
from pathlib import Path, PurePath
from typing import NamedTuple

from drc.blocks.model import Parts
from drc.blocks.parts import load_parts
from drc.circuit.material import Material
from drc.circuit.model import SourceFile
from drc.facts.options import FactOptions
from drc.gate.collect import Depth
from drc.gate.known import Known, Taking, read_known
from drc.gate.refusal import named_bytes, refused
from drc.gate.search import SETTINGS_NAME, find_boards, find_upward, netlists_below, project_root
from drc.gate.settings import DERATED, Settings, read_settings
from drc.gate.tree import DISK, Tree, changes, tree_at
from drc.judge.book import load_rules
from drc.judge.rule import RuleBook
from drc.netlist.options import ReadOptions
from drc.quantity.span import exact
from drc.resources import OWN
from drc.trouble import InputError, Level, Place, Trouble


class Request(NamedTuple):
    """What a run is asked for. None: the settings decide. `date` is today, as ISO 8601.

    Where nothing is `judged`, no rule is read. With `touched`, only boards that those files reach. Every file
    is read as it is at `revision` under version control, None: as it is on disk; "" is what is staged, and
    counts as touched.
    """

    date: str
    paths: Sequence[str | Path] = ()
    touched: Sequence[str | Path] | None = None
    intent: str | Path | None = None
    parts: Sequence[str | Path] = ()
    rules: Sequence[str | Path] = ()
    settings: str | Path | None = None
    bom: str | Path | None = None
    stock: str | Path | None = None
    known: str | Path | None = None
    taking: Taking | None = None
    gate: Level | None = None
    seed: int | None = None
    draws: int | None = None
    depth: Depth = "facts"
    judged: bool = True
    revision: str | None = None


class Materials(NamedTuple):
    """A bill of materials: what it says of each element (by name in lower case), and what of it is unread.

    `beside` is the file where it is one board's own and not the run's.
    """

    by_element: Mapping[str, Material]
    troubles: tuple[Trouble, ...] = ()
    beside: SourceFile | None = None


class Project(NamedTuple):
    """Inputs that were read and found right, and what the boards are reviewed under."""

    tree: Tree
    root: Path
    boards: tuple[Path, ...]
    intent: Path | None
    parts: Parts
    rules: RuleBook
    facts: FactOptions
    reading: ReadOptions
    bom: Path | None
    stock: tuple[float, ...]
    materials: Materials | None
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


class Base(NamedTuple):
    """What a run stands on: its files, the settings file if there is one, what it says, the project root.

    `read` gives the bytes of a named input, the same at each call: what is hashed is what was read.
    """

    tree: Tree
    file: Path | None
    settings: Settings
    root: Path
    read: Callable[[Path], bytes]

    @property
    def home(self) -> Path:
        """The folder that paths in the settings are relative to."""
        return Path.cwd() if self.file is None else self.file.parent


def open_project(request: Request, boards: Sequence[Path] | None = None) -> Project:
    """Everything that the request names, read and checked. InputError gathers all that is wrong.

    `boards` are its boards where they are known already; then none is looked for.
    """
    named = [_absolute(path) for path in request.paths]
    base = _base(request, named)
    wrong = Gathered()
    found: Sequence[Path] = boards or ()
    with wrong:
        if boards is None:
            found = _boards(named or _globbed(base, base.settings.boards), request, base)
            _check_boards(found, request)
    intent = None if request.intent is None else _absolute(request.intent)
    bom = None if request.bom is None else _absolute(request.bom)
    materials = None
    with wrong:
        _check_files([intent] if intent else [], "an intent file", base.tree)
    with wrong:
        _check_files([bom] if bom else [], "a bill of materials", base.tree)
        materials = None if bom is None else _materials(bom, base)
    known_file, known = None, None
    with wrong:
        known_file = _known_file(request, base)
        known = _known(known_file, request, base)
    parts, rules = _reference(request, base, wrong)
    stock: tuple[float, ...] = ()
    with wrong:
        stock = _stock(request, base)
    own = (("settings", base.file), ("intent", intent), ("bom", bom), ("known", known_file))
    inputs: list[SourceFile] = []
    with wrong:
        inputs += [_source(kind, path, base) for kind, path in own if path and base.tree.exists(path)]
    wrong.tell()
    inputs += [SourceFile(path, "parts", digest) for path, digest in parts.files]
    inputs += [SourceFile(path, "rules", digest) for path, digest in rules.files]
    reading = _read_options(base, materials)
    if request.touched is not None:
        from drc.gate.touched import reached  # a hook's option

        changed = [*map(_absolute, request.touched), *changes(base.tree)]
        shared = [Path(source.path) for source in inputs if not source.path.startswith(OWN)]
        found = reached(found, changed, shared, (base.root, *reading.include_roots), base.tree)
    return Project(
        tree=base.tree,
        root=base.root,
        boards=tuple(found),
        intent=intent,
        parts=parts,
        rules=rules,
        facts=_fact_options(request, base.settings, materials),
        reading=reading,
        bom=bom,
        stock=stock,
        materials=materials,
        known=known,
        known_file=known_file,
        taking=request.taking,
        gate=request.gate or base.settings.gate,
        fixed=base.settings.fixed,
        date=request.date,
        depth=request.depth,
        inputs=tuple(source._replace(path=shown_path(source.path, base.root)) for source in inputs),
    )


def open_reference(request: Request) -> tuple[Parts, RuleBook]:
    """The parts and rules in force where no board is named."""
    wrong = Gathered()
    parts, rules = _reference(request, _base(request, []), wrong)
    wrong.tell()
    return parts, rules


class Gathered:
    """A context that keeps what is wrong with one named input, so that the next is looked at as well."""

    def __init__(self) -> None:
        self.troubles: list[Trouble] = []

    def __enter__(self) -> None:
        pass

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> bool:
        if not isinstance(error, InputError):
            return False
        self.troubles += error.troubles
        return True

    def tell(self) -> None:
        """InputError with everything gathered, if anything was."""
        if self.troubles:
            raise InputError(*self.troubles)


def _base(request: Request, named: Sequence[Path]) -> Base:
    """The settings that hold for the named paths, and the project root."""
    tree = tree_at(request.revision, named)
    file = _settings_file(request.settings, named, tree)
    read = _once(tree.paper)
    settings = Settings() if file is None else read_settings(file, read)
    return Base(tree, file, settings, project_root(named or [Path.cwd()], file, tree).resolve(), read)


def _once(read: Callable[[Path], bytes]) -> Callable[[Path], bytes]:
    """What reads each file once, so that one which changes meanwhile is not taken in by halves."""
    done: dict[Path, bytes] = {}

    def again(path: Path) -> bytes:
        if path not in done:
            done[path] = read(path)
        return done[path]

    return again


def _source(kind: str, path: Path, base: Base) -> SourceFile:
    """A named input with the digest of its bytes. InputError where it cannot be read."""
    return SourceFile(str(path), kind, sha256(named_bytes(path, base.read)).hexdigest())


def _reference(request: Request, base: Base, wrong: Gathered) -> tuple[Parts, RuleBook]:
    """The parts and the rules of settings and request."""
    parts, rules = Parts({}), RuleBook(())
    with wrong:
        files = [*_globbed(base, base.settings.parts), *map(_absolute, request.parts)]
        _check_files(files, "a part file", base.tree)
        parts = load_parts(files, base.read)
    if request.judged:
        with wrong:
            files = [*_globbed(base, base.settings.rules), *map(_absolute, request.rules)]
            _check_files(files, "a rule file", base.tree)
            rules = _derated(load_rules(files, read=base.read), base.settings)
    return parts, rules


def _derated(rules: RuleBook, settings: Settings) -> RuleBook:
    """The rules with the house's derating in place of their own."""
    shares = {DERATED[name]: exact(share) for name, share in settings.derating.items()}
    turned = (
        rule._replace(knobs={**rule.knobs, "derating": shares[rule.name]}) if rule.name in shares else rule
        for rule in rules.rules
    )
    return rules._replace(rules=tuple(turned)) if shares else rules


def _check_files(paths: Sequence[Path], expected: str, tree: Tree) -> None:
    """InputError for each named path that is no file."""
    troubles = [
        Trouble("path", "error", Place(str(path)), f"no such file{tree.described}: expected {expected}")
        for path in paths
        if not tree.is_file(path)
    ]
    if troubles:
        raise InputError(*troubles)


def shown_path(path: str | Path, root: Path) -> str:
    """A path relative to the root; the package's own files stay marked as such."""
    if str(path).startswith(OWN):
        return str(path)
    return Path(os.path.relpath(Path(path).resolve(), root)).as_posix()


def _absolute(path: str | Path) -> Path:
    """The path from the file system's root, `..` resolved by name alone."""
    return Path(os.path.abspath(path))


def _settings_file(named: str | Path | None, paths: Sequence[Path], tree: Tree) -> Path | None:
    """The settings file that is named, else the one found upward from the boards; one for all of them."""
    if named is not None:
        path = _absolute(named)
        if not tree.is_file(path):
            raise refused(str(path), f"no such settings file{tree.described}")
        return path
    folders = {path if tree.is_dir(path) else path.parent for path in paths} or {Path.cwd()}
    found = {find_upward(SETTINGS_NAME, folder, tree) for folder in sorted(folders)}
    if len(found) > 1:
        names = ", ".join(sorted(str(path) for path in found if path is not None))
        raise refused(names, "the boards belong to different projects: review them apart, or name --settings")
    return found.pop()


def _globbed(base: Base, patterns: Sequence[str]) -> list[Path]:
    """The files that the settings' patterns name, sorted. InputError for one that matches nothing."""
    paths: list[Path] = []
    for pattern in patterns:
        _check_pattern(pattern)
        named = base.home / pattern
        found = [named] if base.tree.exists(named) else base.tree.glob(base.home, pattern)
        if not found:
            raise refused(
                pattern,
                f"matches nothing in {base.home}{base.tree.described}: mend the pattern in {SETTINGS_NAME}",
            )
        paths += [_absolute(path) for path in found]
    return paths


def _check_pattern(pattern: str) -> None:
    """InputError for a pattern that searches beyond the project or without end; a plain name may lead out."""
    path = PurePath(pattern)
    starred = any(sign in pattern for sign in "*?[")
    if "\0" in pattern or (starred and (path.is_absolute() or ".." in path.parts or pattern.count("**") > 1)):
        message = "expected a file, or a pattern below the settings file with ** at most once"
        raise refused(SETTINGS_NAME, f'found "{pattern}", {message}')


def _boards(named: Sequence[Path], request: Request, base: Base) -> tuple[Path, ...]:
    """The boards that are named; where none is, all of the project if the change or the revision chooses."""
    if named or (request.touched is None and request.revision is None):
        return find_boards(named, base.tree)
    return tuple(netlists_below(base.root, base.tree))


def _check_boards(boards: Sequence[Path], request: Request) -> None:
    """Refuses a run without boards, and what speaks of one board where there are several."""
    if not boards and request.touched is None:
        raise refused("PATH", f"no board is named: name files or folders, or set `boards` in {SETTINGS_NAME}")
    for option, name in (("--intent", request.intent), ("--bom", request.bom)):
        if name is not None and len(boards) > 1:
            raise refused(str(name), f"{option} speaks of one board, and there are {len(boards)}: name one")


def _known_file(request: Request, base: Base) -> Path | None:
    if request.known is not None:
        return _absolute(request.known)
    if base.settings.known is None:
        return None
    path = base.home / base.settings.known
    within = Path(os.path.realpath(path)).is_relative_to(base.home.resolve())
    if request.taking is not None and not within:
        message = f"{SETTINGS_NAME} leads out of its folder, and is not written to: name it with --known FILE"
        raise refused(base.settings.known, message)
    return path


def _known(path: Path | None, request: Request, base: Base) -> Known | None:
    """The known findings; an empty start where the file is yet to be written."""
    if path is None:
        if request.taking is not None:
            raise refused("--accept", "writes a file of known findings: name it with --known FILE")
        return None
    if request.taking is not None and base.tree is not DISK:
        raise refused(
            "--accept", "writes the file of the work tree: do it without --staged, then add the file"
        )
    if request.taking is not None and not base.tree.exists(path):
        return None
    return read_known(path, shown_path(path, base.root), base.read, base.tree.described)


def _materials(path: Path, base: Base) -> Materials:
    """A bill of materials, read. InputError where it is none."""
    from drc.netlist.material_list import read_materials  # most runs have none
    from drc.netlist.source import decode

    source = decode(named_bytes(path, base.read), shown_path(path, base.root))
    return Materials(*read_materials(source, base.settings.reading.columns))


def _stock(request: Request, base: Base) -> tuple[float, ...]:
    """The values that remedies choose from; none: the preferred series."""
    named = request.stock or base.settings.stock
    if named is None or not request.judged:
        return ()
    from drc.gate.stock import read_stock  # most houses have none

    return read_stock(_absolute(named) if request.stock else base.home / named, base.read)


def _read_options(base: Base, materials: Materials | None) -> ReadOptions:
    """How netlists are read; folders of the settings are relative to their file."""
    folders = tuple((base.home / name).resolve() for name in base.settings.includes)
    listed = {} if materials is None else materials.by_element
    parts = {name: material.part for name, material in listed.items() if material.part}
    tree = base.tree
    options = base.settings.reading._replace(include_roots=folders, parts=parts)
    return options if tree is DISK else options._replace(source=tree.read, is_file=tree.is_file)


def _fact_options(request: Request, settings: Settings, materials: Materials | None) -> FactOptions:
    facts = settings.facts
    seed = facts.seed if request.seed is None else request.seed
    draws = facts.draws if request.draws is None else request.draws
    by_element = {} if materials is None else materials.by_element
    return facts._replace(seed=seed, draws=draws, materials=by_element)
