"""A file that changes while it is read: what is hashed is what was read."""

from hashlib import sha256
from pathlib import Path

import pytest

from drc.gate.project import Request, open_project
from drc.gate.tree import Tree
from tests.contract.running import CLEAN, lay


def test_a_named_input_is_read_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """However often it would come out otherwise, settings and known findings count as read the first time."""
    known = '{"schema": "tickproof-known/1", "findings": []}'
    lay(tmp_path, {"bell.cir": CLEAN, "tickproof.toml": 'gate = "note"\n', "k.json": known})
    times: dict[str, int] = {}
    read = Tree.read

    def changing(tree: Tree, path: Path, *rest: int) -> bytes:
        times[path.name] = times.get(path.name, 0) + 1
        return read(tree, path, *rest) if times[path.name] == 1 else b"changed meanwhile"

    monkeypatch.setattr(Tree, "read", changing)
    project = open_project(Request("2026-03-31", [tmp_path / "bell.cir"], known=tmp_path / "k.json"))
    digests = {source.path: source.sha256 for source in project.inputs}
    assert project.gate == "note"
    assert digests["tickproof.toml"] == sha256(b'gate = "note"\n').hexdigest()
    assert digests["k.json"] == sha256(known.encode()).hexdigest()
    assert times["tickproof.toml"] == times["k.json"] == 1
