"""The cache of compiled text: same JSON from it as without it, and no trust in what others can write."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from drc.resources import JSON, compiled, data_root


@pytest.fixture(autouse=True)
def cache_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache folder of this test's own, and a folder for the key."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return tmp_path / "cache" / "tickproof"


def counting(value: JSON) -> tuple[Callable[[], JSON], list[int]]:
    """A build function that makes a value, and a list that grows by one at each call."""
    calls: list[int] = []

    def build() -> JSON:
        calls.append(1)
        return value

    return build, calls


def test_the_same_text_is_built_once(cache_home: Path) -> None:
    """The second time the JSON comes from the cache; another kind or text is built for itself."""
    build, calls = counting({"a": [1, None, "µ"]})
    assert compiled("parts", "x", build) == compiled("parts", "x", build) == {"a": [1, None, "µ"]}
    assert len(calls) == 1
    compiled("rules", "x", build)
    compiled("parts", "y", build)
    assert len(calls) == 3
    assert len(list(cache_home.glob("*.json"))) == 3
    assert not list(cache_home.glob(".*"))


@pytest.mark.parametrize("content", [b"", b"{", b"\xff\xfe", b"[" * 100_000])
def test_a_spoilt_entry_is_built_again(cache_home: Path, content: bytes) -> None:
    """Whatever stands in the cache file, the JSON is the one that is built, and the entry is mended."""
    build, calls = counting([1])
    compiled("parts", "x", build)
    (entry,) = cache_home.glob("*.json")
    entry.write_bytes(content)
    assert compiled("parts", "x", build) == compiled("parts", "x", build) == [1]
    assert len(calls) == 2


@pytest.mark.skipif(os.name != "posix", reason="permissions are those of POSIX")
def test_an_entry_that_others_can_write_is_not_read(cache_home: Path) -> None:
    """A cache file writable by group or others, or a link, is no entry."""
    build, calls = counting([1])
    compiled("parts", "x", build)
    (entry,) = cache_home.glob("*.json")
    entry.write_text("[2]", encoding="utf-8")
    entry.chmod(0o666)
    assert compiled("parts", "x", build) == [1]
    assert entry.stat().st_mode & 0o077 == 0
    target = cache_home / "target"
    entry.rename(target)
    target.write_text("[2]", encoding="utf-8")
    entry.symlink_to(target)
    assert compiled("parts", "x", build) == [1]
    assert len(calls) == 3


@pytest.mark.parametrize("home", ["", "relative", "/proc/no/such/folder"])
def test_no_usable_cache_folder_only_means_building(monkeypatch: pytest.MonkeyPatch, home: str) -> None:
    """Where no folder can be made, or the setting is no absolute path, nothing is kept and nothing fails."""
    monkeypatch.setenv("XDG_CACHE_HOME", home)
    monkeypatch.setenv("HOME", "/proc/no/such/home")
    build, calls = counting([1])
    assert compiled("parts", "x", build) == compiled("parts", "x", build) == [1]
    assert len(calls) == 2


def test_what_build_raises_passes_through_and_is_not_kept(cache_home: Path) -> None:
    """An error of the text itself is the caller's, each time."""

    def build() -> JSON:
        raise KeyError("wrong text")

    for _ in range(2):
        with pytest.raises(KeyError, match="wrong text"):
            compiled("parts", "x", build)
    assert not cache_home.exists()


def test_the_oldest_entries_go(cache_home: Path) -> None:
    """The cache does not grow without bound, and what was built last is kept."""
    build, calls = counting([1])
    for i in range(100):
        compiled("parts", str(i), build)
    assert len(list(cache_home.glob("*.json"))) < 100
    compiled("parts", "99", build)
    assert len(calls) == 100


def test_grammars_and_rules_are_found() -> None:
    """The data folder holds both folders that the package needs."""
    assert (data_root() / "rules" / "parts").is_dir()
    assert (data_root() / "grammars").is_dir()
