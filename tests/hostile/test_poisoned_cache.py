"""A cache that somebody else wrote, moved about or handed on: it is never believed, and nothing hangs."""

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from drc.resources import JSON, compiled, keep, kept
from tests.contract.running import WRONG_RATE, lay, tickproof

pytestmark = pytest.mark.skipif(os.name != "posix", reason="permissions are those of POSIX")

Spoil = Callable[[Path], None]


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's base folders of this test's own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return tmp_path


def entries(home: Path) -> list[Path]:
    """The files of the cache."""
    return sorted((home / "cache" / "tickproof").glob("*.json"))


def only_entry(home: Path) -> Path:
    """The one file of the cache after one text was compiled."""
    assert compiled("rules", "x", lambda: ["right"]) == ["right"]
    (entry,) = entries(home)
    return entry


def never() -> JSON:
    """A build that the cache should have spared."""
    raise AssertionError("built again")


def rewritten(entry: Path) -> None:
    """Other content under the old seal."""
    entry.write_bytes(entry.read_bytes().replace(b"right", b"wrong"))


def unsealed(entry: Path) -> None:
    """Plain JSON, as anybody writes it."""
    entry.write_text('["wrong"]', encoding="utf-8")


def linked(entry: Path) -> None:
    """A link to a file elsewhere."""
    entry.rename(entry.with_name("elsewhere"))
    entry.symlink_to(entry.with_name("elsewhere"))


def pipe(entry: Path) -> None:
    """A pipe that nobody ever writes to."""
    entry.unlink()
    os.mkfifo(entry)


def endless(entry: Path) -> None:
    """A file of a terabyte that takes no room."""
    os.truncate(entry, 10**12)


def folder(entry: Path) -> None:
    """A folder of the entry's name."""
    entry.unlink()
    entry.mkdir()


def foreign(entry: Path) -> None:
    """A file that belongs to another user."""
    if os.geteuid() != 0:
        pytest.skip("only root gives files away")
    rewritten(entry)
    os.chown(entry, 65534, -1)


@pytest.mark.parametrize("spoil", [rewritten, unsealed, linked, pipe, endless, folder, foreign])
def test_a_spoilt_entry_is_not_believed(home: Path, spoil: Spoil) -> None:
    """Whatever stands in the place of an entry, the text is built again, and at once."""
    spoil(only_entry(home))
    assert compiled("rules", "x", lambda: ["built"]) == ["built"]


def test_an_entry_under_another_name_is_not_believed(home: Path) -> None:
    """What was compiled of one text is not taken for another's, though it was sealed here."""
    entry = only_entry(home)
    lenient = entry.read_bytes()
    entry.unlink()
    assert compiled("rules", "y", lambda: ["strict"]) == ["strict"]
    (other,) = entries(home)
    other.write_bytes(lenient)
    assert compiled("rules", "y", lambda: ["strict"]) == ["strict"]


def test_a_cache_of_another_user_is_not_believed(home: Path) -> None:
    """A cache handed on without its user's key, is built anew; with the key it serves."""
    only_entry(home)
    assert compiled("rules", "x", never) == ["right"]
    shutil.rmtree(home / "state")
    from drc import resources

    resources._key.cache_clear()
    assert compiled("rules", "x", lambda: ["built"]) == ["built"]


def spoilt_keys() -> list[Spoil]:
    """What may stand in the place of a key."""

    def loose(key: Path) -> None:
        key.chmod(0o644)

    def short(key: Path) -> None:
        key.write_bytes(b"")

    def known(key: Path) -> None:
        key.unlink()
        key.symlink_to("/dev/zero")

    return [loose, short, known]


@pytest.mark.parametrize("spoil", spoilt_keys())
def test_a_key_that_others_may_know_is_replaced(home: Path, spoil: Spoil) -> None:
    """A key that others can read, is short or is a link is made anew; what it sealed is built again."""
    from drc import resources

    only_entry(home)
    key = home / "state" / "tickproof" / "cache-key"
    spoil(key)
    resources._key.cache_clear()
    assert compiled("rules", "x", lambda: ["built"]) == ["built"]
    assert key.stat().st_mode & 0o077 == 0
    assert key.stat().st_size == 32
    assert not key.is_symlink()


def test_what_is_kept_comes_back_or_not_at_all(home: Path) -> None:
    """Any bytes come back as they were kept; from another folder they do not."""
    data = b"\x00\n\xff" * 1000
    here, there = home / "cache" / "a" / "x", home / "cache" / "b" / "x"
    keep(here, data)
    assert kept(here) == data
    there.parent.mkdir()
    shutil.copy(here, there)
    with pytest.raises(ValueError, match="not sealed here"):
        kept(there)


def test_files_that_are_no_entries_stay(home: Path) -> None:
    """Where the cache's folder is a link to a folder of the user's own, no file of theirs is taken away."""
    own = home / "own"
    own.mkdir()
    for number in range(100):
        (own / f"board-{number}.json").write_text("{}", encoding="utf-8")
    (home / "cache").mkdir()
    (home / "cache" / "tickproof").symlink_to(own)
    for number in range(70):
        compiled("rules", str(number), lambda: ["right"])
    assert len(list(own.glob("board-*.json"))) == 100


def test_a_tampered_cache_does_not_make_a_failing_board_pass(home: Path) -> None:
    """With every compiled rule taken out of the cache by hand, the board fails as before."""
    lay(home, {"bell.cir": WRONG_RATE})
    before = tickproof(home, ["review", "bell.cir"])
    assert before.code == 1
    assert entries(home)
    for entry in entries(home):
        seal, _, data = entry.read_bytes().partition(b"\n")
        content = json.loads(data)
        emptied = {key: type(value)() for key, value in content.items()} if isinstance(content, dict) else []
        entry.write_bytes(seal + b"\n" + json.dumps(emptied).encode())
    assert tickproof(home, ["review", "bell.cir"]) == before
