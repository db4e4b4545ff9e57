"""Sentences of statements, options, the report and limits that the other tables leave out."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.contract.running import CLEAN, WRONG_RATE, lay, tickproof
from tests.contract.table import Case, check
from tests.contract.test_statements import bell, sample

RUN, WARN, EXPLAIN = "review bell.cir", "review bell.cir --gate warning", "review bell.cir --explain XU1"
MISSED = ("[timing-outside-intent]",)
BELL = {"bell.cir": CLEAN}
GATED = """The bell strikes while another block lets it
*@ supply vdd 3.2V .. 3.4V
*@ ambient 0degC .. 50degC
*@ assume R* tolerance 1%, tempco 100ppm
V1 vdd 0 3.3
C1 vdd 0 100n
C2 vdd 0 100n
R1 vdd cfg 130k
R2 cfg 0 68.1k
R3 rt 0 100k
XU2 vdd cfg gate 0 rt 0 HA20
R4 vdd cfg1 20k
R5 cfg1 0 13.7k
R6 rt1 0 100k
XU1 vdd cfg1 out 0 rt1 gate HA10
R7 out 0 10k
.end
"""


def gated(*lines: str) -> dict[str, str | bytes]:
    """The board with two blocks and statements on it."""
    return {"bell.cir": GATED.replace("V1 vdd", "".join(f"*@ {line}\n" for line in lines) + "V1 vdd")}


def limited(key: str, most: int, **files: str | bytes) -> dict[str, str | bytes]:
    """Settings with one limit, and files."""
    return {"tickproof.toml": f"[limits]\n{key} = {most}\n", **files}


LAGS = CLEAN.replace("R2  CFG 0   13.7k", "R2  CFG 0   13.7k\nC2  CFG 0   1n")
LOOSE_C = sample("bilge").replace(
    "*@ assume C1 tolerance 5%, tempco +/- 250ppm\n*@ assume C* tolerance 20%, tempco 300ppm\n", ""
)
INCLUDING = CLEAN.replace(".end", ".include a.inc\n.include b.inc\n.include c.inc\n.end")
INCLUDED = {f"{name}.inc": "* nothing\n" for name in "abc"}

CASES = (
    Case("when another block's output is high", RUN, 0, ("gate passed",), (), gated("expect XU1 frequency 8kHz +/- 6% when XU2 = high")),
    Case("when it is high, and the frequency is another", RUN, 1, MISSED, (), gated("expect XU1 frequency 9kHz +/- 6% when XU2 = high")),
    Case("while it is low nothing is struck, and a frequency is not proven", RUN, 1, ("not proven",), (), gated("expect XU1 frequency 8kHz +/- 6% when XU2 = low")),
    Case("a condition on a block that is not there is a finding", RUN, 1, ("bell.cir:5:", "XU9"), (), gated("expect XU1 frequency 8kHz +/- 6% when XU9 = high")),
    Case("a ramp that lasts longer than the strap waits is told, where the strap lags", WARN, 1, ("[supply-ramps-while-strap-is-read]",), (), bell("ramp VCC 5ms", base=LAGS)),
    Case("a shorter one is not", WARN, 0, (), (), bell("ramp VCC 0.1ms", base=LAGS)),
    Case("a part that is drawn as not fitted may be fitted", RUN, 0, ("gate passed",), (), {"bell.cir": CLEAN.replace("R3  RT  0   100k", "R3  RT  0   100k dnp\n*@ fit R3 yes")}),
    Case("a trimmer with no setting that does is told", RUN, 1, MISSED, (), {"bell.cir": CLEAN.replace("R3  RT  0   100k", "R3  RT  0   100k\n*@ adjust R3 120kohm .. 220kohm")}),
    Case("a capacitor's tolerance is 10 % by default, and marked as assumed", EXPLAIN, 0, ("C1 tolerance = +/- 10 % (default",), (), {"bell.cir": LOOSE_C}),
    Case("a resistor's tempco is 100 ppm/K by default", EXPLAIN, 0, ("R3 tempco = +/- 100 ppm/K (default",), (), {"bell.cir": CLEAN.replace(", tempco 100ppm", "")}),
    Case("a span without nominal has its middle stand in, and says so", EXPLAIN, 0, ("VCC = 3.2 V .. 3.4 V (no nominal: the middle stands in)",), (), BELL),
    Case("one temperature is an ambient too", "review bell.cir --explain XU1 --gate warning", 0, ("ambient.board = 50 degC",), (), {"bell.cir": CLEAN.replace("0degC .. 50degC", "50degC")}),
    Case("a number of processes is at least one", "review bell.cir --jobs 0", 2, (), ("--jobs", "from 1 to 1024"), BELL),
    Case("a seed is a whole number", "review bell.cir --seed -1", 2, (), ("--seed",), BELL),
    Case("an engine is one of those there are", "review bell.cir --engine steam", 2, (), ("--engine", "processes or dask"), BELL),
    Case("an engine of a cluster needs its scheduler", "review bell.cir --engine dask", 2, (), ("found no --scheduler",), BELL),
    Case("a scheduler needs its engine", "review bell.cir --scheduler tcp://bench:8786", 2, (), ("--scheduler: found without --engine dask",), BELL),
    Case("a report without its file is told", "review bell.cir --report json", 2, (), ("expected FORMAT=FILE",), BELL),
    Case("a report over a folder is told", "review bell.cir --report json=sub", 2, (), ("sub: error: is a folder",), BELL | {"sub/x": ""}),
    Case("wrong settings and a wrong report are both exit 2", "review bell.cir --gate steam --report jsn=x", 2, (), ("--gate",), BELL),
    Case("files that are included are no more than the limit", RUN, 1, ("bell.cir:15:", "include"), (), {"bell.cir": INCLUDING} | INCLUDED | limited("include-files", 2)),
    Case("as many as the limit are read", RUN, 0, ("gate passed",), (), {"bell.cir": INCLUDING} | INCLUDED | limited("include-files", 3)),
    Case("known findings named by settings outside their folder are not written", "review p/bell.cir --accept", 2, (), ("k.json", "leads out of its folder", "--known FILE"), {"p/bell.cir": WRONG_RATE, "p/tickproof.toml": '[known]\nfile = "../k.json"\n'}),
    Case("nor without a trace of what else is wrong", "review p/bell.cir --accept --parts no.toml", 2, (), ("leads out of its folder", "no.toml: error"), {"p/bell.cir": WRONG_RATE, "p/tickproof.toml": '[known]\nfile = "../k.json"\n'}),
    Case("named on the command line they are", "review p/bell.cir --accept --known k.json", 0, ("1 known",), (), {"p/bell.cir": WRONG_RATE, "p/tickproof.toml": ""}),
    Case("a missing file of known findings is told with what to do", "review bell.cir --known no.json", 2, (), ("no.json: error: no such file: expected a file of known findings; write it with --accept",), BELL),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[case.sentence for case in CASES])
def test_the_rest_keeps_its_contract(case: Case, tmp_path: Path) -> None:
    """Each row of the table holds."""
    check(case, tmp_path)


def test_a_link_out_of_the_settings_folder_is_not_written_through(tmp_path: Path) -> None:
    """Settings that name a link to a file elsewhere: it is refused for writing, and the file stays as it is."""
    lay(
        tmp_path, {"p/bell.cir": WRONG_RATE, "p/tickproof.toml": '[known]\nfile = "k.json"\n', "k.json": "{}"}
    )
    (tmp_path / "p" / "k.json").symlink_to(tmp_path / "k.json")
    ran = tickproof(tmp_path, ["review", "p/bell.cir", "--accept", "all"])
    assert ran.code == 2
    assert "leads out of its folder" in ran.err
    assert (tmp_path / "k.json").read_text(encoding="utf-8") == "{}"


def test_an_end_that_is_not_there_is_null_in_the_report(tmp_path: Path) -> None:
    """Wanted is at least 20 kHz: the span's upper end, and its nominal, are null."""
    lay(tmp_path, {"bell.cir": WRONG_RATE.replace("8kHz +/- 6%", "at least 20kHz")})
    ran = tickproof(tmp_path, ["review", "bell.cir", "--report", "json=-"])
    findings = json.loads(ran.out)["boards"][0]["findings"]
    (wanted,) = [f["evidence"]["expect.wanted"] for f in findings if f["rule"] == "timing-outside-intent"]
    assert (wanted["unit"], wanted["low"], wanted["high"]) == ("Hz", 20000.0, None)


READ = """
import drc
circuit = drc.read("bell.cir")
(r3,) = [each for each in circuit.elements() if each.name == "R3"]
print(r3.name, r3.kind, [net.name for net in r3.nets], r3.value, r3.part, dict(r3.parameters), r3.place)
print(len(circuit.dump().splitlines()), [str(each.path) for each in drc.inventory("bell.cir")])
print(drc.review("bell.cir").passed)
"""


def test_python_reads_reviews_and_takes_stock(tmp_path: Path) -> None:
    """An element has name, kind, nets, value in SI, part, parameters and place; a dump has a line for each."""
    lay(tmp_path, BELL)
    done = subprocess.run(
        [sys.executable, "-c", READ], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    first, second, third = done.stdout.splitlines()
    assert first == "R3 R ['RT', '0'] 100000.0 None {} bell.cir:10:1", done.stderr
    assert second.split()[0] == str(sum(line[0] in "VCRX" for line in CLEAN.splitlines()))
    assert third == "True"
