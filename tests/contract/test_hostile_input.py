"""Bad and hostile input as a table: nothing in it is run, expanded or taken as markup, nothing is lost."""

import csv
import json
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.contract.running import CLEAN, WRONG_RATE, lay, tickproof
from tests.contract.table import Case, check

RUN = "review bell.cir"


def bell(more: str = "", old: str = "", new: str = "") -> dict[str, str | bytes]:
    """The board of the bell with a change, and lines before its end."""
    text = CLEAN.replace(old, new) if old else CLEAN
    return {"bell.cir": text.replace(".end", f"{more}\n.end")}


def limited(key: str, most: int, **files: str | bytes) -> dict[str, str | bytes]:
    """Settings with one limit, and files."""
    return {"tickproof.toml": f"[limits]\n{key} = {most}\n", **files}


CHAIN = (
    "\n".join(f".subckt s{n} a\nX1 a s{n + 1}\n.ends" for n in range(40))
    + "\n.subckt s40 a\nR1 a 0 1k\n.ends"
)
BUSH = (
    "\n".join(f".subckt s{n} a\nX1 a s{n + 1}\nX2 a s{n + 1}\n.ends" for n in range(40))
    + "\n.subckt s40 a\nR1 a 0 1k\n.ends"
)

CASES = (
    Case("an include outside the project is not read, and that is said", "review p/bell.cir", 1, ("p/bell.cir:13:", "outside"), (), {"p/bell.cir": CLEAN.replace(".end", ".include ../out.inc\n.end"), "p/tickproof.toml": "", "out.inc": "R9 OUT 0 10k\n"}),
    Case("unless the settings allow its folder", "review p/bell.cir", 0, ("gate passed",), (), {"p/bell.cir": CLEAN.replace(".end", ".include ../models/out.inc\n.end"), "p/tickproof.toml": '[reading]\ninclude-folders = ["../models"]\n', "models/out.inc": "R9 OUT 0 10k\n"}),
    Case("a name with a variable of the environment is a name", RUN, 1, ("bell.cir:13:", "$HOME/more.inc"), (), bell(".include $HOME/more.inc")),
    Case("an include that includes itself ends, and is told", RUN, 1, ("bell.cir:13:",), (), bell(".include bell.cir")),
    Case("two that include each other end, and are told", RUN, 1, ("b.inc:1:",), (), bell(".include a.inc") | {"a.inc": ".include b.inc\n", "b.inc": ".include a.inc\n"}),
    Case("an include that is not there is told, and the rest is reviewed", RUN, 1, ("bell.cir:13:", "none.inc", "1 block:"), (), bell(".include none.inc")),
    Case("subcircuits too deep are one line", RUN,  2, ("bell.cir: error: subcircuits nest 41 deep, the limit is 20",), (), bell(f"{CHAIN}\nX9 OUT s0") | limited("hierarchy-depth", 20)),
    Case("subcircuits that multiply are one line", RUN, 2, ("bell.cir: error:",), (), bell(f"{BUSH}\nX9 OUT s0")),
    Case("a subcircuit that calls itself ends, and is told", RUN, 1, ("bell.cir:", "1 block:"), (), bell(".subckt loop a\nX1 a loop\n.ends\nX9 OUT loop")),
    Case("an expression too deep is one line", RUN, 1, ("bell.cir:13:",), (), bell("R9 OUT 0 {" + "(" * 3000 + "1k" + ")" * 3000 + "}")),
    Case("a huge exponent is one line", "review bell.cir --gate warning", 1, ("R9",), (), bell("R9 OUT 0 {10**1000}")),
    Case("parameters that grow without end are one line", "review bell.cir --gate warning", 1, ("hangs on itself",), (), bell(".param a={b+b}\n.param b={a+a}\nR9 OUT 0 {a}")),
    Case("a line that cannot be read is an error where it names a block's net", RUN, 1, ("bell.cir:13:1: error:", "\n    9R OUT 0 10k\n    ^^\n", "1 block:"), (), bell("9R OUT 0 10k")),
    Case("and a warning where it does not", RUN, 0, ("bell.cir:13:1: warning:", "1 block:"), (), bell("9R A B 10k")),
    Case("a part that is not known stays on its nets: what it may change is not proven", RUN, 1, ("not proven", "X9"), (), bell("X9 RT 0 MYSTERY")),
    Case("an element whose value nobody can read stays on its nets too", RUN, 1, ("not proven", "R9"), (), bell("R9 RT 0 {nowhere}")),
    Case("NULs are no netlist", RUN, 2, ("bell.cir: error:",), (), {"bell.cir": b"title\n" + b"\0" * 4000}),
    Case("text in no known encoding is read letter by letter", RUN, 0, ("1 block:",), (), {"bell.cir": CLEAN.encode().replace(b"Tide", b"Gr\xfc\xdfe")}),
    Case("EDIF nested without end is one line", "review a.edn", 2, ("a.edn: error:",), (), {"a.edn": "(edif x " + "(a " * 200_000}),
    Case("more elements than the limit are one line", RUN, 2, ("bell.cir: error:", "elements", "3"), (), bell() | limited("elements", 3)),
    Case("a line longer than the limit is one line", RUN, 2, ("bell.cir: error:", "20"), (), bell() | limited("line-length", 20)),
    Case("a file larger than the limit is one line", RUN, 2, ("bell.cir: error:", "100"), (), bell() | limited("file-bytes", 100)),
    Case("more lines than the limit are one line", RUN, 2, ("bell.cir: error:", "5"), (), bell() | limited("lines", 5)),
    Case("includes deeper than the limit are one line", RUN, 1, ("a.inc:1:",), (), bell(".include a.inc") | {"a.inc": ".include b.inc\n", "b.inc": "* nothing\n"} | limited("include-depth", 2)),
    Case("more after expansion than the limit is one line", RUN, 2, ("bell.cir: error:", "4"), (), bell() | limited("expansion", 4)),
    Case("a settings file of another form is told", RUN, 2, (), ("tickproof.toml:1:",), bell() | {"tickproof.toml": "\0"}),
    Case("a list of materials that is none is told", f"{RUN} --bom b.csv", 2, (), ("b.csv",), bell() | {"b.csv": b"\0\1\2"}),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[case.sentence for case in CASES])
def test_hostile_input_keeps_its_contract(case: Case, tmp_path: Path) -> None:
    """Each row of the table holds."""
    check(case, tmp_path)


RUNS = """.control
shell touch pwned
.endc
.include `touch pwned`
.include $(touch pwned)
.include |touch pwned
.param p={__import__('os').system('touch pwned')}
R8 OUT 0 {__import__('os').system('touch pwned')}
R9 OUT 0 {open('pwned','w')}
*@ expect XU1 frequency $(touch pwned)
*@ assume R9 value `touch pwned`
"""


@pytest.mark.parametrize("command", ["review", "inventory", "mend"])
def test_nothing_from_an_input_is_run(command: str, tmp_path: Path) -> None:
    """Commands of a simulator, of a shell and of Python in a netlist do nothing: no file comes of them."""
    lay(tmp_path, bell(RUNS))
    ran = tickproof(tmp_path, [command, "bell.cir"])
    assert ran.code in (0, 1)
    assert [path.name for path in tmp_path.iterdir()] == ["bell.cir"]


NAMES = (
    "<script>alert(1)</script>",
    '"><b>bold',
    "&lt;&amp;]]>",
    "=HYPERLINK(1)",
    "\x1b[31mred",
    "[bold]x",
    "%0a-@+",
)


@pytest.mark.parametrize("name", NAMES)
def test_no_name_is_markup_in_any_report(name: str, tmp_path: Path) -> None:
    """A net's name is text in HTML, XML, CSV, SARIF and JSON, and no cell begins a formula."""
    lay(
        tmp_path,
        {"bell.cir": WRONG_RATE.replace("OUT", name.replace(" ", ""))},
    )
    forms = ("json", "sarif", "junit", "csv", "html")
    ran = tickproof(tmp_path, ["review", "bell.cir", "--report", *(f"{form}=r.{form}" for form in forms)])
    assert ran.code in (1, 2)
    assert "\x1b" not in ran.out
    for form in ("json", "sarif"):
        json.loads((tmp_path / f"r.{form}").read_text(encoding="utf-8"))
    ElementTree.parse(tmp_path / "r.junit")
    with open(tmp_path / "r.csv", encoding="utf-8", newline="") as file:
        cells = [cell for row in csv.reader(file) for cell in row]
    assert [cell for cell in cells if cell.startswith(("=", "@", "\t", "+"))] == []
    page = (tmp_path / "r.html").read_text(encoding="utf-8")
    assert "\x1b" not in page
    assert Tags.of(page) == Tags.of(plain_page(tmp_path))


class Tags(HTMLParser):
    """Counts the scripts and bold texts of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.found: dict[str, int] = {}

    def handle_starttag(self, tag: str, attrs: object) -> None:
        """A tag opens."""
        if tag in ("script", "b"):
            self.found[tag] = self.found.get(tag, 0) + 1

    @classmethod
    def of(cls, page: str) -> dict[str, int]:
        """How many there are on a page."""
        parser = cls()
        parser.feed(page)
        return parser.found


def plain_page(folder: Path) -> str:
    """The page of the same board with a plain name."""
    lay(folder, {"plain.cir": WRONG_RATE})
    tickproof(folder, ["review", "plain.cir", "--report", "html=plain.html"])
    return (folder / "plain.html").read_text(encoding="utf-8")
