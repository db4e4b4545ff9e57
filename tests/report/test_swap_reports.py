"""What a swap's reports say: the page for a person, JSON with its schema, the table for a spreadsheet."""

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry
from referencing.jsonschema import DRAFT202012

import drc.report
from drc.outcome import Alone, BlockSwap
from drc.quantity.span import Span
from drc.quantity.unit import HERTZ, OHM
from drc.report import swap_csv, swap_json
from drc.report.swap_formats import FORMATS, renderer
from drc.report.swap_summary import last_line, swap_summary
from drc.report.swap_table import block_table
from drc.report.text import plain
from tests.report.drawn import BOARD, SCRIPT
from tests.report.made import REVIEW, same_path
from tests.report.swapped import AFTER, BEFORE, MENDED, REFUSED, SAME, SWAPPED
from tests.report.test_json_report import closed

FOLDER = Path(drc.report.__path__[0])
SCHEMAS = {
    name: json.loads((FOLDER / name).read_text()) for name in ("swap.schema.json", "review.schema.json")
}


def validator(schemas: dict[str, dict[str, Any]]) -> Draft202012Validator:
    """A validator of a swap's report, by the two schemas that lie beside each other."""
    resources = ((name, DRAFT202012.create_resource(schema)) for name, schema in schemas.items())
    return Draft202012Validator(schemas["swap.schema.json"], registry=Registry().with_resources(resources))


def page(width: int = 80) -> list[str]:
    """The page as plain lines."""
    return [plain(line) for line in swap_summary(SWAPPED, width, same_path)]


def test_the_schema_is_one() -> None:
    """The published schema is itself valid."""
    Draft202012Validator.check_schema(SCHEMAS["swap.schema.json"])


def test_the_report_holds_to_its_schema_and_adds_nothing() -> None:
    """What is written is what the schemas describe, member by member."""
    strict = {name: closed(schema) for name, schema in SCHEMAS.items()}
    validator(strict).validate(json.loads(swap_json.render(SWAPPED)))


@pytest.mark.parametrize("member", ["schema", "passed", "swapped", "boards", "alone", "untouched"])
def test_the_schema_misses_what_is_left_out(member: str) -> None:
    """A report without one of its members is refused."""
    report = json.loads(swap_json.render(SWAPPED))
    del report[member]
    assert not validator(SCHEMAS).is_valid(report)


def test_a_change_carries_both_sides_and_its_causes() -> None:
    """A fact of a changed block stands with its value before, after, and what made it so; none is null."""
    changes = json.loads(swap_json.render(SWAPPED))["boards"][0]["blocks"][0]["changes"]
    by_name = {change["name"]: change for change in changes}
    assert by_name["block.part"] == {
        "name": "block.part",
        "before": "ZZ10",
        "after": "YY10",
        "because": ["part"],
    }
    assert by_name["timing.period"]["before"]["nominal"] == 1e-4
    assert by_name["timing.period"]["after"] is None


@pytest.mark.parametrize("form", list(FORMATS))
def test_every_format_gives_the_same_bytes_twice(form: str) -> None:
    """No clock and no chance in any of them."""
    assert renderer(form)(SWAPPED) == renderer(form)(SWAPPED)


def rows() -> list[dict[str, str]]:
    """The table's rows by heading."""
    return list(csv.DictReader(io.StringIO(swap_csv.render(SWAPPED), newline="")))


def test_the_table_has_a_row_a_block() -> None:
    """Every block of every board is a row, with as many fields as there are headings (RFC 4180)."""
    text = swap_csv.render(SWAPPED)
    assert text.count("\n") == text.count("\r\n")
    assert all(len(line) == len(swap_csv.HEADINGS) for line in csv.reader(io.StringIO(text, newline="")))
    assert len(rows()) == sum(len(board.blocks) for board in SWAPPED.boards)
    assert [row["verdict"] for row in rows()] == [MENDED.verdict] * 2 + [REFUSED.verdict] * 2 + [SAME.verdict]


def test_the_table_gives_si_numbers_and_edits() -> None:
    """Numbers are in SI units, the edits stand as they are to be made."""
    first = rows()[0]
    assert (first["edits"], first["matched by"]) == ("R3 100k -> 78.7k", "name")
    assert first["before prescale"] != first["after prescale"] == "64"


def test_no_cell_of_the_table_is_a_formula() -> None:
    """A name that a spreadsheet would compute is made text."""
    board = MENDED._replace(reason="=1+1", before=MENDED.before._replace(path="@a.cir"))
    text = swap_csv.render(SWAPPED._replace(boards=(board,)))
    cells = [cell for line in csv.reader(io.StringIO(text, newline="")) for cell in line]
    assert "'=1+1" in cells
    assert not [cell for cell in cells if cell[:1] in ("=", "@", "+")]


@pytest.mark.parametrize("width", [80, 100, 140, 200])
def test_no_line_is_wider_than_the_page(width: int) -> None:
    """At every width from 80 to 200 the page fits."""
    assert max(len(line) for line in page(width)) <= width


def test_the_gravest_verdict_stands_first() -> None:
    """Boards that are not replaced come first, and each board's verdict stands behind its name."""
    verdicts = [REFUSED.verdict, MENDED.verdict, SAME.verdict]
    heads = [
        next(v for v in sorted(verdicts, key=len, reverse=True) if line.endswith(v))
        for line in page()
        if not line.startswith(" ") and line.endswith(tuple(verdicts))
    ]
    assert heads[:3] == verdicts


def test_the_last_line_counts_boards_by_verdict() -> None:
    """One line, whatever the width, counts every board once."""
    assert page()[-1] == last_line(SWAPPED)
    assert last_line(SWAPPED) == "3 boards: 1 drop-in, 1 drop-in with changed values, 1 not a replacement"


def test_what_is_not_compared_is_told() -> None:
    """Boards of one side, boards left untouched and rows that mean nothing each have their line."""
    review = SWAPPED._replace(
        alone=(Alone("gone.cir", "before"), Alone("new.cir", "after")),
        untouched=12,
        notes=("swaps.csv:3:1: no board has XU9",),
    )
    text = "\n".join(plain(line) for line in swap_summary(review, 80, same_path))
    for piece in (
        "gone.cir  only before",
        "new.cir  only after",
        "12 boards left untouched",
        "no board has XU9",
        "1 board gone",
    ):
        assert piece in text


def test_faults_that_were_there_are_shown_as_such() -> None:
    """A finding of both boards is neither gained nor lost, and is shown all the same; a note is not."""
    rulings = BOARD.rulings or REVIEW.boards[0].rulings
    board = SAME._replace(after=SAME.after._replace(rulings=rulings))
    lines = [plain(line) for line in swap_summary(SWAPPED._replace(boards=(board,)), 80, same_path)]
    told = [line for line in lines if line.startswith("  still ")]
    assert len(told) == sum(ruling.finding.level != "note" for ruling in rulings)
    assert told


def test_edits_stand_behind_an_arrow() -> None:
    """Each edit has a line, the nets of one element's pins together."""
    token = MENDED.edits[0].token
    pins = tuple(
        MENDED.edits[0]._replace(element="XU1", token=token._replace(start=200 + n, text=old), new=new)
        for n, (old, new) in enumerate((("VDD", "OUT"), ("CFG", "0")))
    )
    review = SWAPPED._replace(boards=(MENDED._replace(edits=(*MENDED.edits, *pins)),))
    lines = [plain(line).strip() for line in swap_summary(review, 80, same_path)]
    assert "-> R3 100k -> 78.7k" in lines
    assert "-> XU1 VDD CFG -> OUT 0" in lines


def test_nothing_of_an_input_moves_the_cursor() -> None:
    """Control characters and direction marks of names come out spelt."""
    board = SAME._replace(reason="\x1b[31mred", before=SAME.before._replace(path="a\u202eb.cir"))
    text = "\n".join(plain(line) for line in swap_summary(SWAPPED._replace(boards=(board,)), 80, same_path))
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert SCRIPT not in text or "<" in text


def table(pair: BlockSwap, width: int = 80) -> list[str]:
    """A block's table as plain lines."""
    return [plain(line) for line in block_table(pair, None, width)]


def test_a_block_that_did_not_change_has_one_line() -> None:
    """Without changes one line says what the block does."""
    (line,) = table(BlockSwap(BEFORE, BEFORE, "name", ()))
    assert "as it was" in line


def test_ratings_give_way_to_values_on_a_narrow_page() -> None:
    """Where a value with its rating has no room, the rating goes, never the value."""
    facts = {
        **BEFORE.facts,
        "rate.resistance": BEFORE.facts["rate.resistance"]._replace(value=Span(1.23e5, 1.234e5, 1.24e5, OHM)),
        "timing.frequency": BEFORE.facts["rate.resistance"]._replace(
            value=Span(880.0, 1003.4, 1132.0, HERTZ)
        ),
    }
    pair = BlockSwap(BEFORE._replace(facts=facts), AFTER, "name", MENDED.blocks[0].changes)
    for width in (80, 140):
        assert any("123.4 kohm" in line for line in table(pair, width))


def test_a_block_that_is_gone_is_said_so() -> None:
    """A block of one side alone has a line that says which."""
    assert "gone" in table(BlockSwap(BEFORE, None, None, ()))[0]
    assert "new" in table(BlockSwap(None, BEFORE, None, ()))[0]
