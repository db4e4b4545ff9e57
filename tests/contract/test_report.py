"""The JSON report, as a process writes it: its form, its numbers, its paths, and what a fingerprint is made of."""

import json
from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path
from typing import Any

import jsonschema
import pytest

import drc.report.json_report
from tests.contract.running import CLEAN, WRONG_RATE, lay, tickproof

STATION = Path(__file__).resolve().parents[2] / "samples" / "fog-station"
SCHEMA = json.loads(
    Path(drc.report.json_report.__file__).with_name("review.schema.json").read_text(encoding="utf-8")
)


def reported(folder: Path, files: Mapping[str, str | bytes], *arguments: str) -> dict[str, Any]:
    """The JSON report of a review of everything in a folder."""
    lay(folder, files)
    tickproof(
        folder, ["review", *(arguments or (".",)), "--date", "2026-03-31", "--report", "json=report.json"]
    )
    report: dict[str, Any] = json.loads((folder / "report.json").read_text(encoding="utf-8"))
    return report


@pytest.fixture(scope="module")
def station(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """The report of the fog station, with settings, an empty board, and a bill of materials' like beside."""
    files = {f"hw/{path.name}": path.read_bytes() for path in STATION.iterdir()}
    files |= {"tickproof.toml": b"", "hw/empty.cir": b""}
    return reported(tmp_path_factory.mktemp("station"), files, "hw", "--draws", "500")


def test_the_report_holds_to_the_schema_that_ships_with_it(station: dict[str, Any]) -> None:
    """Every member and every value of a whole archive's report is as the schema says."""
    jsonschema.Draft202012Validator(SCHEMA).validate(station)
    assert station["schema"] == "tickproof-review/1"
    assert (station["date"], station["draws"], station["seed"], station["gate"]) == (
        "2026-03-31",
        500,
        1,
        "error",
    )
    assert station["passed"] is False
    assert len(station["boards"]) == 14


def test_every_input_is_named_with_its_hash(tmp_path: Path) -> None:
    """Each file that was read stands there with its kind and the SHA-256 of its bytes."""
    files = {
        "bell.cir": CLEAN.replace("R4  OUT 0   10k", ".include more.inc"), "more.inc": "R4 OUT 0 10k\n",
        "bell.intent": "# nothing\n", "tickproof.toml": 'rules = ["house.rule"]\n', "parts.toml": "",
        "house.rule": "turn strap-near-threshold clearance = 0.1 steps\n", "bom.csv": "Designator,Value\nR3,100k\n",
    }  # fmt: skip
    report = reported(tmp_path, files, "bell.cir", "--bom", "bom.csv", "--parts", "parts.toml")
    kinds = {source["path"]: source["kind"] for source in report["inputs"]}
    assert kinds.items() >= {
        "bell.cir": "board", "more.inc": "include", "bell.intent": "intent", "tickproof.toml": "settings",
        "parts.toml": "parts", "house.rule": "rules", "bom.csv": "bom",
    }.items()  # fmt: skip
    hashes = {source["path"]: source["sha256"] for source in report["inputs"]}
    for name, text in files.items():
        assert hashes[name] == sha256(text.encode()).hexdigest()
    assert report["boards"][0]["sha256"] == hashes["bell.cir"]


def test_a_board_that_cannot_be_read_is_an_entry_with_its_error(station: dict[str, Any]) -> None:
    """It has a path, its error, and nothing else in it."""
    (board,) = (board for board in station["boards"] if board["error"])
    assert (board["path"], board["blocks"], board["findings"]) == ("hw/empty.cir", [], [])


def numbers(value: object) -> list[float]:
    """Every number in a report."""
    if isinstance(value, dict):
        return [number for item in value.values() for number in numbers(item)]
    if isinstance(value, list):
        return [number for item in value for number in numbers(item)]
    return [value] if isinstance(value, float) else []


def test_numbers_have_nine_digits_and_are_never_none(station: dict[str, Any]) -> None:
    """Every number is rounded to nine significant digits, and no NaN or infinity is among them."""
    found = numbers(station)
    assert len(found) > 500
    assert [number for number in found if float(f"{number:.9g}") != number] == []
    assert "NaN" not in json.dumps(station)
    assert "Infinity" not in json.dumps(station)


def test_paths_are_posix_and_from_the_projects_root(station: dict[str, Any]) -> None:
    """No path in the report begins at the file system's root, climbs out of the project, or has a backslash."""
    paths = [source["path"] for source in station["inputs"]] + [board["path"] for board in station["boards"]]
    paths += [found["location"]["path"] for board in station["boards"] for found in board["findings"]]
    assert "hw/lamp.cir" in paths
    assert "hw/horn.intent" in paths
    own = [path for path in paths if not path.startswith("tickproof:")]
    assert [path for path in own if path.startswith(("/", "..")) or "\\" in path] == []


def test_a_block_has_its_pins_its_values_and_its_times(station: dict[str, Any]) -> None:
    """Of the radio: strap code 5, a thousand times the master period, as README's own arithmetic has it."""
    (radio,) = (board for board in station["boards"] if board["path"] == "hw/radio.cir")
    (block,) = radio["blocks"]
    assert (block["path"], block["unit"], block["part"], block["function"]) == (
        "XU1",
        None,
        "HA20",
        "slow-oscillator",
    )
    assert block["found_by"] == "part"
    assert block["pins"]["rate"] == ["RT"]
    assert (block["strap"]["code"], block["strap"]["prescale"], block["strap"]["polarity"]) == (
        5,
        1000,
        "normal",
    )
    assert block["strap"]["ratio"]["nominal"] == pytest.approx(68.1 / 198.1, rel=1e-4)
    assert block["rate"]["resistance"]["nominal"] == 71500
    period = block["timing"]["period"]
    assert period["unit"] == "s"
    low, high = period["extreme"]
    assert low < period["rss"][0] < period["nominal"] < period["rss"][1] < high
    assert low < period["monte_carlo"][0] < period["nominal"] < period["monte_carlo"][1] < high
    assert set(block["supply"]) == {"unit", "low", "nominal", "high"}


def test_the_tally_lists_and_counts_every_verdict(station: dict[str, Any]) -> None:
    """The counts of a board are those of its entries."""
    for board in station["boards"]:
        listed = [entry["verdict"] for entry in board["tally"]["entries"]]
        assert {name: n for name, n in board["tally"]["counts"].items() if n} == {
            n: listed.count(n) for n in set(listed)
        }


def one(report: dict[str, Any]) -> dict[str, Any]:
    """The one finding of a report at the level of an error."""
    (finding,) = (f for board in report["boards"] for f in board["findings"] if f["level"] == "error")
    return dict(finding)


def test_a_finding_says_where_what_and_how_to_mend_it(tmp_path: Path) -> None:
    """Its place, its evidence, what is missing, and remedies with their edits."""
    finding = one(reported(tmp_path, {"bell.cir": WRONG_RATE}, "bell.cir"))
    assert finding["location"] == {"path": "bell.cir", "line": 5, "column": 4}
    assert (finding["verdict"], finding["block"], finding["state"]) == ("fail", "XU1", "new")
    assert finding["evidence"]["expect.actual"]["nominal"] == pytest.approx(17.02e3, rel=1e-3)
    edit = finding["remedies"][0]["edits"][0]
    assert (edit["element"], edit["from"]) == ("R3", "47k")
    start, end = edit["place"]["start"], edit["place"]["end"]
    assert WRONG_RATE[start:end] == "47k"


SAME = {
    "another file": ("moved/tide.cir", WRONG_RATE),
    "other lines": ("bell.cir", WRONG_RATE.replace("V1 ", "* a line more\n\nV1 ")),
    "other nets": ("bell.cir", WRONG_RATE.replace("CFG", "N17").replace("RT ", "N18 ")),
    "other letters around it": ("bell.cir", WRONG_RATE.replace("R3  RT  0   47k", "R3 RT 0 47k")),
}
OTHER = {
    "another value": WRONG_RATE.replace("47k", "51k"),
    "another block": WRONG_RATE.replace("XU1", "XU2"),
    "another part": WRONG_RATE.replace("HA10", "HA10B"),
}


@pytest.mark.parametrize("what", SAME)
def test_a_fingerprint_outlives(what: str, tmp_path: Path) -> None:
    """Where a finding stands and what its nets are called is no part of its fingerprint."""
    first = one(reported(tmp_path / "a", {"bell.cir": WRONG_RATE}))["fingerprint"]
    name, text = SAME[what]
    assert one(reported(tmp_path / "b", {name: text}))["fingerprint"] == first


@pytest.mark.parametrize("what", OTHER)
def test_a_fingerprint_is_of(what: str, tmp_path: Path) -> None:
    """A nominal value, the block's path and its part make the fingerprint."""
    more = {"more.toml": '[part.HA10B]\nlike = "HA10"\ntitle = "the same under another name"\n'}
    parts = (".", "--parts", "more.toml")
    first = one(reported(tmp_path / "a", {"bell.cir": WRONG_RATE} | more, *parts))["fingerprint"]
    assert one(reported(tmp_path / "b", {"bell.cir": OTHER[what]} | more, *parts))["fingerprint"] != first
