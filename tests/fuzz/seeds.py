"""What mutants are made of, by kind of input: samples, rules with their boards, texts of the tests."""

import json
import re
from collections.abc import Callable
from functools import cache

from drc.gate.settings import KEYS
from drc.resources import data_root
from tests.contract.running import CLEAN, WRONG_RATE
from tests.intent.test_read import FORMS, TEXTS
from tests.netlist import decks, world
from tests.netlist.test_edif import BOARD as EDIF
from tests.netlist.test_table_formats import BOARD as PINS

SAMPLES = data_root() / "samples" / "fog-station"
RULES = data_root() / "rules"

BOARD = CLEAN.replace("V1  VCC", "XU2 VCC CFG2 OUT2 0 RT2 OUT HA40\nR5 RT2 0 100k\nR6 VCC CFG2 0\nV1  VCC")
"""A board of two blocks, for mutants of what is no netlist."""

BOM = """Reference;Value;Part;Tolerance;Tempco;Fitted
R1;20k;;1%;100ppm;yes
R2-R3;13k7;;0.1%;25ppm/K;
C1;100n;X7R;10%;;
XU1;;HA10;;;
R4;10k;;;;DNP
"""
KNOWN = """{"schema": "tickproof-known/1", "findings": [
 {"fingerprint": "0123456789abcdef", "count": 2, "board": "board.cir", "rule": "strap-open",
  "block": "XU1", "message": "XU1: nothing sets the strap pin"},
 {"fingerprint": "fedcba9876543210", "count": 1, "board": "gone.cir", "rule": "no-timing-block",
  "block": null, "message": "no timing block"}
]}
"""


@cache
def seeds(kind: str) -> tuple[bytes, ...]:
    """The texts that mutants of a kind are made of."""
    return tuple(text.encode() if isinstance(text, str) else text for text in _OF[kind]())


def _netlists() -> list[str | bytes]:
    """The samples, the boards that break the rules, and lines as the dialects write them."""
    boards = [path.read_bytes() for path in sorted(SAMPLES.glob("*.cir"))]
    cases = []
    for path in sorted((RULES / "book").glob("*.rule")):
        for board in re.findall(r"(?:^ +\| ?.*\n)+", path.read_text(encoding="utf-8"), re.M):
            cases.append(re.sub(r"^ +\| ?", "", board, flags=re.M))
    lines = decks.LINES.strip().split("\n")
    dialects = ["title\n" + "\n".join(lines[n : n + 15]) + "\n" for n in range(0, len(lines), 15)]
    return [*boards, *cases, *dialects, "title\n" + "\n".join(world.LINES) + "\n", CLEAN, WRONG_RATE, BOARD]


def _pin_lists() -> list[str | bytes]:
    more = "ref;pin;net;part;value\nU1;VDD;v;HA10;\nU1;GND;0;HA10;\nU1;RT;n;HA10;\nR1;1;n;;100k\nR1;2;0;;\n"
    return [PINS, PINS.replace(",", "\t"), more]


def _parts() -> list[str | bytes]:
    """Whole part files and single parts, under names of their own."""
    files = [path.read_text(encoding="utf-8") for path in sorted((RULES / "parts").glob("*.toml"))]
    whole = [re.sub(r"\b(HA|BR|QB|QC)(?=\d\d)", r"Z\1", text) for text in files]
    single = [part for text in files for part in re.split(r"^(?=\[part\.\w+\]$)", text, flags=re.M)[1:]]
    return [*whole, *(re.sub(r"^\[part\.", "[part.Z", text, flags=re.M) for text in single)]


def _rules() -> list[str | bytes]:
    """Single rules, under names of their own, and what a house book does."""
    found: list[str | bytes] = []
    for path in sorted((RULES / "book").glob("*.rule")):
        rules = re.split(r"^(?=rule )", path.read_text(encoding="utf-8"), flags=re.M)[1:]
        found += [re.sub(r"^rule ", "rule our-", rule) for rule in rules]
    found.append("turn strap-near-threshold clearance = 0.3 steps level error\n")
    found.append('turn strap-open off because "bench units"\n')
    return found


def _settings() -> list[str | bytes]:
    """Every key with its example, all at once and table by table."""
    tables: dict[str, list[str]] = {}
    for name, key in KEYS.items():
        table, _, own = name.rpartition(".")
        tables.setdefault(table, []).append(f"{own} = {key.example}")
    usable = {
        name: [line for line in lines if "*" not in line and "csv" not in line]
        for name, lines in tables.items()
    }
    parts = ["\n".join([f"[{name}]" if name else "", *lines]) + "\n" for name, lines in usable.items()]
    return ["\n".join(parts), *parts]


def _intents() -> list[str | bytes]:
    own = [path.read_bytes() for path in sorted(SAMPLES.glob("*.intent"))]
    annotations = re.findall(
        r"^\*@ (.*)$", "\n".join(p.read_text() for p in sorted(SAMPLES.glob("*.cir"))), re.M
    )
    forms = [*TEXTS, *(text for text, _ in FORMS), *annotations]
    groups = ["\n".join(forms[n : n + 6]) + "\n" for n in range(0, len(forms), 6)]
    spoken = "supply VCC 3.2V .. 3.4V\nambient 0degC .. 50degC\nexpect XU1 frequency 8kHz +/- 6%\n"
    return [
        *own,
        *groups,
        spoken,
        spoken + 'accept strap-open at XU1 because "bench" by "owner" until 2027-03-31\n',
    ]


_OF: dict[str, Callable[[], list[str | bytes]]] = {
    "netlist": _netlists,
    "edif": lambda: [EDIF, (SAMPLES / "siren.edn").read_bytes()],
    "pin list": _pin_lists,
    "bill of materials": lambda: [BOM, BOM.replace(";", ","), "Designator,Value\nR3,47k\n"],
    "part file": _parts,
    "rule book": _rules,
    "settings": _settings,
    "intent": _intents,
    "known findings": lambda: [KNOWN, json.dumps(json.loads(KNOWN), indent=1)],
}
KINDS = tuple(_OF)

SHARES = {
    "netlist": 12, "edif": 17, "pin list": 17, "bill of materials": 6, "part file": 14, "rule book": 2,
    "settings": 13, "intent": 6, "known findings": 13,
}  # fmt: skip
"""Of a hundred mutants; kinds that take long have fewer."""
