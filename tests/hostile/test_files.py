"""Files that are none, have no end, lead elsewhere or change while they are read."""

import os
from itertools import pairwise
from pathlib import Path

import pytest

from tests.contract.running import CLEAN, lay
from tests.hostile.running import ENOUGH, watched

pytestmark = pytest.mark.skipif(os.name != "posix", reason="devices, pipes and links are those of POSIX")

INPUTS = (
    ("board.cir", "review board.cir"),
    ("board.edn", "review board.edn"),
    ("board.csv", "review board.csv"),
    ("bell.intent", "review bell.cir"),
    ("i.intent", "review bell.cir --intent i.intent"),
    ("bell.bom.csv", "review bell.cir"),
    ("b.csv", "review bell.cir --bom b.csv"),
    ("p.toml", "review bell.cir --parts p.toml"),
    ("r.rule", "review bell.cir --rules r.rule"),
    ("s.toml", "review bell.cir --settings s.toml"),
    ("tickproof.toml", "review bell.cir"),
    ("k.json", "review bell.cir --known k.json"),
    ("s.csv", "mend bell.cir --stock s.csv"),
    ("swap.csv", "swap bell.cir --replace swap.csv"),
    ("x.inc", "review includes.cir"),
    ("parts.toml", "start"),
)
"""Every file that a run may be led to, and a run that is."""

FILES = {"bell.cir": CLEAN, "includes.cir": CLEAN.replace("V1 ", ".include x.inc\nV1 ")}


@pytest.mark.parametrize(("name", "arguments"), INPUTS)
def test_a_line_of_a_gigabyte_is_refused_before_it_is_read(tmp_path: Path, name: str, arguments: str) -> None:
    """Wherever it stands, it is an input error or a finding, and never held in memory."""
    lay(tmp_path, {**FILES, name: "title\n"})
    os.truncate(tmp_path / name, 2**30)
    ran = watched(tmp_path, arguments.split())
    assert ran.code in (1, 2) or arguments == "start"
    assert "more than" in ran.told or arguments == "start"
    assert ran.peak < ENOUGH


@pytest.mark.parametrize("kind", ["pipe", "zero"])
@pytest.mark.parametrize(("name", "arguments"), INPUTS)
def test_what_is_no_regular_file_is_not_read(tmp_path: Path, name: str, arguments: str, kind: str) -> None:
    """A pipe that nobody writes to, and a device without end are told or passed over, at once."""
    lay(tmp_path, FILES)
    if kind == "pipe":
        os.mkfifo(tmp_path / name)
    else:
        (tmp_path / name).symlink_to("/dev/zero")
    ran = watched(tmp_path, arguments.split())
    beside = name in ("bell.intent", "bell.bom.csv", "parts.toml", "tickproof.toml")
    assert ran.code in ((0, 1, 2) if beside else (1, 2))
    assert ran.peak < ENOUGH


def test_a_link_out_of_the_root_is_not_followed(tmp_path: Path) -> None:
    """An include that lies in the project and leads out of it is refused, and nothing of it is shown."""
    lay(tmp_path, {"secret.inc": "R99 hidden 0 4242\n", "p/tickproof.toml": ""})
    lay(tmp_path, {"p/bell.cir": FILES["includes.cir"]})
    (tmp_path / "p" / "x.inc").symlink_to("../secret.inc")
    ran = watched(tmp_path / "p", ["review", "bell.cir", "--tally"])
    assert ran.code == 1
    assert "lies outside the project root" in ran.told
    assert "4242" not in ran.told
    assert "hidden" not in ran.told


def test_links_in_a_circle_are_told(tmp_path: Path) -> None:
    """A folder that holds a link to itself is searched once; a file that links to itself is no file."""
    lay(tmp_path, {"hw/bell.cir": CLEAN})
    (tmp_path / "hw" / "again").symlink_to(".")
    (tmp_path / "loop.cir").symlink_to("loop.cir")
    assert "1 block:" in watched(tmp_path, ["review", "hw"]).out
    assert watched(tmp_path, ["review", "loop.cir"]).code == 2


INCLUDING = {
    "itself": {"x.inc": ".include x.inc\n"},
    "each other": {"x.inc": ".include y.inc\n", "y.inc": ".include x.inc\n"},
    "the board": {"x.inc": ".include includes.cir\n"},
    "twice each": {f"{a}.inc": f".include {b}.inc\n" * 2 for a, b in pairwise("xabcdefghijklmnopqrst")},
    "deep": {f"{'x' if n == 0 else n}.inc": f".include {n + 1}.inc\n" for n in range(100)},
}


@pytest.mark.parametrize("files", INCLUDING.values(), ids=INCLUDING)
def test_includes_end(tmp_path: Path, files: dict[str, str]) -> None:
    """Files that include themselves, each other, or each the next one twice (a million times in all) end."""
    lay(tmp_path, {**FILES, **files, "t.inc": "* the end\n"})
    ran = watched(tmp_path, ["review", "includes.cir"])
    assert ran.code in (0, 1)
    assert ran.peak < ENOUGH
