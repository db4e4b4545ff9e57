"""Names that mean something to a terminal, a browser, a spreadsheet or a disk come out as characters."""

import csv
import html.parser
import json
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.contract.running import CLEAN, lay
from tests.hostile.running import watched

NASTY = (
    "=cmd|'/c'!A1", "@SUM(A1:A9)", "+1+1", "-1+1", "<script>alert(1)</script>", "<!DOCTYPE&lol;>", "&lol;",
    "]]><x>", "[bold]red[/bold]", "\x1b[31mred", "\x1b]0;title\x07", "\u202eturned", "../../../etc/passwd",
    "C:\\nul",     "{0.__class__}", "%s%n", "$(touch&hacked)", "`touch`", "\\x1b[31m", "\u200bhidden",
)  # fmt: skip
FORMS = ("json", "sarif", "junit", "csv", "html")


class Page(html.parser.HTMLParser):
    """The elements of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.elements: list[str] = []
        self.scripts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Counts an element."""
        self.elements.append(tag)

    def handle_data(self, data: str) -> None:
        """Keeps what a script says."""
        if self.elements and self.elements[-1] == "script":
            self.scripts.append(data)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the reports of a board full of such names."""
    folder = tmp_path_factory.mktemp("names")
    lines = [f"R{n}{name} {name} cfgx{name} 10k" for n, name in enumerate(NASTY)]
    lines += [f"XU{n + 9} VCC CFG {name} 0 RT VCC HA10" for n, name in enumerate(NASTY)]
    stated = "".join(f'expect "{name}" frequency 1kHz\n' for name in NASTY if '"' not in name)
    board = CLEAN.replace("R4 ", "\n".join([*lines, ""]) + "R4 ").replace("Tide bell", "Tide <b>\x1b[1m bell")
    lay(folder, {"bell.cir": board, "bell.intent": stated})
    reports = [f"{form}=r.{form}" for form in FORMS]
    ran = watched(folder, ["review", "bell.cir", "--report", *reports, "--tally", "--explain", "XU1"])
    assert ran.code == 1
    (folder / "told").write_text(ran.told, encoding="utf-8")
    return folder


def test_a_terminal_is_not_steered(folder: Path) -> None:
    """No control character but line ends, and no sign that turns the reading direction, is printed."""
    told = (folder / "told").read_text(encoding="utf-8")
    assert not {sign for sign in told if not sign.isprintable()} - {"\n"}
    assert "[bold]red[/bold]" in told


@pytest.mark.parametrize("form", ["junit", "html"])
def test_markup_is_text(folder: Path, form: str) -> None:
    """XML parses without an entity of its own; the page has one script, its own, and no element of a name."""
    text = (folder / f"r.{form}").read_text(encoding="utf-8")
    if form == "junit":
        assert "<!DOCTYPE" not in text
        ElementTree.fromstring(text)
        return
    page = Page()
    page.feed(text)
    assert not any("alert(1)" in script for script in page.scripts)
    assert "x" not in page.elements


def test_no_cell_is_a_formula(folder: Path) -> None:
    """No cell of the table begins with a sign that a spreadsheet works out."""
    with (folder / "r.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream))
    assert len(rows) >= len(NASTY)
    odd = [cell for row in rows for cell in row if cell.startswith(tuple("=+-@\t\r"))]
    assert not [cell for cell in odd if not re.fullmatch(r"-[\d.e-]+", cell)]


@pytest.mark.parametrize("form", ["json", "sarif"])
def test_json_is_json(folder: Path, form: str) -> None:
    """Both parse."""
    assert json.loads((folder / f"r.{form}").read_text(encoding="utf-8"))


def test_no_name_is_a_path(folder: Path) -> None:
    """Nothing but the reports was written."""
    written = {path.name for path in folder.iterdir()}
    assert written == {"bell.cir", "bell.intent", "told", ".peak", *(f"r.{form}" for form in FORMS)}


@pytest.mark.parametrize(
    "name", ["a\x1b[31mb.cir", "a\nb.cir", "<b>&.cir", "=1+1.cir", "-x.cir", "a b.cir", "[bold].cir"]
)
def test_a_board_of_an_odd_name_is_reviewed(tmp_path: Path, name: str) -> None:
    """A file's name is shown spelt out and reviewed like any other."""
    lay(tmp_path, {name: CLEAN})
    ran = watched(tmp_path, ["review", f"./{name}", "--report", "junit=r.xml", "html=r.html", "csv=r.csv"])
    assert ran.code == 0
    assert "\x1b" not in ran.told
    ElementTree.fromstring((tmp_path / "r.xml").read_text(encoding="utf-8"))
    assert "<b>&." not in (tmp_path / "r.html").read_text(encoding="utf-8")
