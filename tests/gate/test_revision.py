"""Files as they are at a revision."""

import multiprocessing
import os
from pathlib import Path

import pytest

import drc.bounded
from drc.gate.revision import STAGED, revision_at, source_at
from drc.trouble import InputError
from tests.gate.repository import commit, git, needs_git, repository

pytestmark = needs_git


@pytest.fixture(autouse=True)
def outside_of_a_hook(monkeypatch: pytest.MonkeyPatch) -> None:
    """The tests may run in a hook themselves: what it sets is taken away."""
    for name in [name for name in os.environ if name.startswith("GIT_")]:
        monkeypatch.delenv(name)


def test_a_file_is_read_as_it_was(tmp_path: Path) -> None:
    """The bytes of each revision come back, whatever the work tree holds now."""
    top = repository(tmp_path / "bay")
    first = commit(top, board__cir="one\r\n")
    second = commit(top, board__cir="two\n")
    (top / "board.cir").unlink()
    assert source_at(top, first)(top / "board.cir") == b"one\r\n"
    assert source_at(top, second)(top / "board.cir") == b"two\n"
    assert source_at(top, "main~1")(top / "board.cir") == b"one\r\n"


def test_what_is_staged_is_read_from_the_index(tmp_path: Path) -> None:
    """The empty revision is what is staged: neither the last commit nor the work tree."""
    top = repository(tmp_path)
    commit(top, board__cir="committed", other__cir="other")
    (top / "board.cir").write_text("staged")
    git(top, "add", "board.cir")
    (top / "board.cir").write_text("only in the work tree")
    (top / "new.cir").write_text("not staged")
    git(top, "rm", "-q", "--cached", "other.cir")
    staged = revision_at(top, STAGED)
    assert staged(top / "board.cir") == b"staged"
    assert staged.paths() == [top / "board.cir"]
    assert not staged.is_file(top / "new.cir")


def test_what_a_revision_lacks_is_an_oserror_that_says_so(tmp_path: Path) -> None:
    """A file that is not there, a folder, and a path outside are no files, with the reason in words."""
    top = repository(tmp_path / "bay")
    (top / "inner").mkdir()
    (top / "inner" / "a.cir").write_text("a")
    revision = revision_at(top, commit(top, board__cir="x"))
    (top / "late.cir").write_text("late")
    with pytest.raises(FileNotFoundError, match="no such file at revision"):
        revision(top / "late.cir")
    with pytest.raises(IsADirectoryError):
        revision(top / "inner")
    with pytest.raises(FileNotFoundError):
        revision(tmp_path / "elsewhere.cir")
    assert revision.is_file(top / "inner" / "a.cir")
    assert not any(map(revision.is_file, (top / "late.cir", top / "inner", tmp_path / "elsewhere.cir")))
    assert revision.paths(top / "inner") == [top / "inner" / "a.cir"]
    assert revision.paths(tmp_path / "elsewhere") == []


@pytest.mark.parametrize("wrong", ["gone", "-q", "--help", "a\nb", "HEAD:board.cir", "HEAD^{blob}", " "])
def test_no_such_revision_is_told(wrong: str, tmp_path: Path) -> None:
    """What names no revision is refused by name, be it an option's look-alike or two lines."""
    top = repository(tmp_path)
    commit(top, board__cir="x")
    with pytest.raises(InputError, match="no such revision"):
        revision_at(top, wrong)


def test_a_revision_whose_name_looks_like_an_option_is_read(tmp_path: Path) -> None:
    """A tag that begins with `-` is a revision like any other."""
    top = repository(tmp_path)
    first = commit(top, board__cir="x")
    (top / ".git" / "refs" / "tags" / "--all").write_text(first + "\n")
    assert source_at(top, "--all")(top / "board.cir") == b"x"


def test_outside_a_repository_it_is_told(tmp_path: Path) -> None:
    """A folder that no repository holds is refused with git's own reason."""
    with pytest.raises(InputError, match="not a git repository"):
        revision_at(tmp_path, "HEAD")


def test_git_missing_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without git on the search path the refusal names git."""
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(InputError, match="git: is not installed"):
        revision_at(tmp_path, "HEAD")


def test_what_is_beyond_bounds_is_refused_and_the_next_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file larger than is read, a line without end, a target that no link has: told, and others are read.

    A text of many lines is read whole, be it longer than a line may be.
    """
    monkeypatch.setattr(drc.bounded, "LONGEST_LINE", 100_000)
    monkeypatch.setattr(drc.bounded, "_PIECE", 30_000)
    top = repository(tmp_path)
    lines = ("x" * 99_998 + "\r\n") * 5
    commit(
        top, a__cir="x\n" * 9_000, b__cir="x" * 200_000 + "\n", c__cir=lines, d__cir="small", e="y" * 5_000
    )
    target = git(top, "rev-parse", "HEAD:e")
    git(top, "update-index", "--add", "--cacheinfo", f"120000,{target},odd.cir")
    revision = revision_at(top, STAGED)
    with pytest.raises(OSError, match="more than 9,999 bytes, the most that is read"):
        revision(top / "a.cir", 9_999)
    assert len(revision(top / "a.cir", 18_000)) == 18_000
    with pytest.raises(OSError, match="a line has more than 100,000 bytes"):
        revision(top / "b.cir")
    assert revision(top / "c.cir") == lines.encode()  # git keeps the bytes as they are
    with pytest.raises(OSError, match="more than 4,096 bytes"):
        revision(top / "odd.cir")
    assert not revision.is_file(top / "odd.cir")
    assert revision(top / "d.cir") == b"small"


def test_odd_names_are_read(tmp_path: Path) -> None:
    """Names with blanks, quotes, line ends and letters beyond ASCII are no trouble, nor is a subfolder."""
    top = repository(tmp_path / "bay with blank")
    for name in ("a b.cir", 'q"uote.cir', "line\nend.cir", "Nebelhörner.cir"):
        (top / name).write_text(name)
    (top / "inner").mkdir()
    commit(top)
    for revision in (revision_at(top / "inner", "HEAD"), revision_at(top / "inner", STAGED)):
        assert len(revision.paths()) == 4
        assert all(revision(path).decode() == path.name for path in revision.paths())


def test_links_are_followed_within_the_revision(tmp_path: Path) -> None:
    """A link stands for what it named at that revision; one that leads outside or in a circle has no file."""
    top = repository(tmp_path)
    (top / "inner").mkdir()
    (top / "inner" / "link.cir").symlink_to("../board.cir")
    (top / "out.cir").symlink_to("/etc/hostname")
    (top / "circle.cir").symlink_to("circle.cir")
    revision = revision_at(top, commit(top, board__cir="old"))
    (top / "inner" / "link.cir").unlink()
    assert revision(top / "inner" / "link.cir") == b"old"
    assert not revision.is_file(top / "out.cir")
    assert not revision.is_file(top / "circle.cir")
    with pytest.raises(OSError, match="circle"):
        revision(top / "circle.cir")


def test_a_hook_s_own_index_is_heeded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a hook GIT_DIR and GIT_INDEX_FILE, relative as git sets them, say what is staged."""
    top = repository(tmp_path)
    (top / "inner").mkdir()
    commit(top, board__cir="committed")
    (top / "board.cir").write_text("in the other index")
    git(top, "add", "board.cir", GIT_INDEX_FILE=".git/other-index")
    monkeypatch.setenv("GIT_INDEX_FILE", ".git/other-index")
    monkeypatch.chdir(top)
    assert source_at(top / "inner", STAGED)(top / "board.cir") == b"in the other index"
    monkeypatch.setenv("GIT_DIR", ".git")
    assert source_at(top / "inner", STAGED)(top / "board.cir") == b"in the other index"


def test_a_forked_worker_reads_on_its_own(tmp_path: Path) -> None:
    """Two processes that share a revision by forking do not take each other's answers."""
    top = repository(tmp_path)
    files = {f"b{n}__cir": f"{n}" * 1000 for n in range(20)}
    source = source_at(top, commit(top, **files))
    assert source(top / "b0.cir") == b"0" * 1000
    context = multiprocessing.get_context("fork")
    worker = context.Process(target=_read_all, args=(source, top))
    worker.start()
    _read_all(source, top)
    worker.join(30)
    assert worker.exitcode == 0


def _read_all(source: object, top: Path) -> None:
    assert callable(source)
    for _ in range(20):
        for n in range(20):
            assert source(top / f"b{n}.cir") == f"{n}".encode() * 1000
