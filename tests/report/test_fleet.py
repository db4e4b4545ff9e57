"""What many boards come to together, on each of its pages."""

import csv
import io
import json
from html.parser import HTMLParser
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

import drc.report
from drc.fleet import BOARD_VERDICTS, Fleet
from drc.gate.fleet_count import WORST, FleetCount
from drc.outcome import MARGINS, BoardOutcome, Margin
from drc.report import fleet_csv, fleet_html, fleet_json
from drc.report.fleet import fleet_page
from drc.report.text import plain
from tests.report.made import REVIEW, same_path

SCHEMA = json.loads((Path(drc.report.__path__[0]) / "fleet.schema.json").read_text(encoding="utf-8"))
HOSTILE = "=cmd<script>\x1b[31m"


def fleet_of(*boards: BoardOutcome) -> Fleet:
    """The fleet of some boards, under the review that the report tests share."""
    count = FleetCount(REVIEW.gate)
    for board in boards:
        count.add(board)
    return count.fleet(REVIEW)


MARGINAL = tuple(
    board._replace(
        margins=(Margin("strap", -0.5, "XU1", "to the next code"), Margin("load", 0.25, "XU1", "x"))
    )
    for board in REVIEW.boards
)
FLEET = fleet_of(*MARGINAL)


def test_every_board_has_one_verdict() -> None:
    """The verdicts add up to the boards: what was not read, what fails the gate, and the rest."""
    assert sum(FLEET.count(verdict) for verdict in BOARD_VERDICTS) == len(REVIEW.boards)
    verdicts = {board.path: board.verdict for board in FLEET.boards}
    assert verdicts["boards/broken.cir"] == "unread"
    assert verdicts["boards/lamp.cir"] == "failed"


@given(st.lists(st.tuples(st.sampled_from(MARGINS), st.floats(-9, 9)), max_size=60))
def test_the_least_margins_are_kept(found: list[tuple[str, float]]) -> None:
    """Of each kind the least, in order, and no more than are told; taken one by one as sorted at once."""
    boards = [
        REVIEW.boards[0]._replace(path=f"{n}.cir", margins=(Margin(kind, left, "XU1", ""),))  # type: ignore[arg-type]
        for n, (kind, left) in enumerate(found)
    ]
    fleet = fleet_of(*boards)
    for kind in MARGINS:
        told = [each.margin.left for each in fleet.worst if each.margin.kind == kind]
        assert told == sorted(left for each, left in found if each == kind)[:WORST]


def test_parts_and_rules_are_counted_by_board_and_block() -> None:
    """The same board twice: twice the blocks, boards and findings."""
    once, twice = fleet_of(*MARGINAL), fleet_of(*MARGINAL, *MARGINAL)
    for one, two in ((once.parts, twice.parts), (once.rules, twice.rules)):
        assert one
        assert [(p.name, 2 * p.blocks, 2 * p.boards) for p in one] == [
            (p.name, p.blocks, p.boards) for p in two
        ]


def test_the_json_is_as_its_schema_says() -> None:
    """Every member that the schema wants is there, and numbers are numbers."""
    jsonschema.validate(json.loads(fleet_json.render(FLEET)), SCHEMA)


def test_the_csv_is_one_table_that_runs_nothing() -> None:
    """Every row has every column, and no cell from outside begins a formula."""
    odd = MARGINAL[0]._replace(path=HOSTILE)
    rows = list(csv.DictReader(io.StringIO(fleet_csv.render(fleet_of(odd)))))
    assert {row["what"] for row in rows} >= {"verdict", "margin", "board"}
    assert all(None not in row and None not in row.values() for row in rows)
    assert not any(row["board"].startswith("=") for row in rows)
    assert {float(row["margin left"]) for row in rows if row["what"] == "margin"} == {-0.5, 0.25}


class Tables(HTMLParser):
    """Tables of a page: captions met, and header cells without a scope."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.unscoped = 0
        self.scripts = 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Counts."""
        self.tags.append(tag)
        self.unscoped += tag == "th" and "scope" not in dict(attrs)
        self.scripts += tag == "script"


def test_the_page_is_whole_and_accessible() -> None:
    """Every table has a caption and scoped headings; a hostile name adds no element and no escape."""
    page = Tables(fleet_html.render(FLEET))
    assert page.tags.count("table") - 1 == page.tags.count("caption")  # the one to sign has none
    assert page.unscoped == 0
    odd = fleet_html.render(fleet_of(*(board._replace(path=HOSTILE) for board in MARGINAL)))
    assert Tables(odd).tags.count("script") == page.scripts == 1
    assert "\x1b" not in odd


@pytest.mark.parametrize("width", [80, 100, 140, 200])
def test_the_page_on_a_terminal_fits(width: int) -> None:
    """No line is wider than the page, however long a path is, and a number stands by each verdict."""
    far = MARGINAL[0]._replace(path="a/very/long/way/" * 12 + "board.cir")
    lines = [plain(line) for line in fleet_page(fleet_of(*MARGINAL, far), width, same_path)]
    assert max(map(len, lines)) <= width
    assert lines[0].startswith(f"all together: {len(MARGINAL) + 1} boards")


@pytest.mark.parametrize("render", [fleet_json.render, fleet_csv.render, fleet_html.render])
def test_the_same_fleet_gives_the_same_text(render: object) -> None:
    """Nothing but the fleet bears on the bytes."""
    assert callable(render)
    assert render(FLEET) == render(fleet_of(*MARGINAL))
