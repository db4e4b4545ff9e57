"""Statements of intent as a table: every kind there is, what it speaks of, and where a value comes from."""

from pathlib import Path

import pytest

from tests.contract.running import CLEAN, UNSTATED
from tests.contract.table import Case, check

EXPECT = "*@ expect XU1 frequency 8kHz +/- 6%\n"

SHOT = """A pulse of 0.6 s, at each push of a button
*@ supply vdd 3.2V .. 3.4V
*@ ambient 0degC .. 50degC
*@ assume R* tolerance 1%, tempco 100ppm
*@ signal kick period 2s .. 9s, high 50ms .. 90ms
*@ expect XU1 pulse-width 0.6s +/- 6%
V1 vdd 0 3.3
C1 vdd 0 100n
R1 vdd cfg 143k
R2 cfg 0 162k
R3 rt 0 121k
R4 kick 0 47k
J1 kick vdd PLUG
XU1 vdd cfg out 0 rt kick HA40
R5 out 0 10k
.end
"""
STEERED = CLEAN.replace("R3  RT  0   100k", "R3  RT  0   100k\nR9  RT vctl 300k").replace(EXPECT, "")


def bell(*lines: str, base: str = UNSTATED) -> dict[str, str | bytes]:
    """The board of the bell with more statements on it; `base` states no expectation."""
    return {"bell.cir": base.replace("V1  VCC", "".join(f"*@ {line}\n" for line in lines) + "V1  VCC")}


def shot(old: str = "", new: str = "") -> dict[str, str | bytes]:
    """The board of the one-shot, with a change."""
    assert old in SHOT
    return {"bell.cir": SHOT.replace(old, new) if old else SHOT}


def sample(name: str) -> str:
    """A sample's netlist, with the models it includes put in."""
    folder = Path(__file__).resolve().parents[2] / "samples" / "fog-station"
    models = (folder / "models.inc").read_text(encoding="utf-8")
    return (folder / f"{name}.cir").read_text(encoding="utf-8").replace(".include models.inc", models)


RUN, WARN, TALLY = "review bell.cir", "review bell.cir --gate warning", "review bell.cir --tally"
MISSED = ("[timing-outside-intent]",)
TOLERANT = CLEAN.replace("*@ assume R* tolerance 1%, tempco 100ppm\n", "")
LOOSE = TOLERANT.replace("R3  RT  0   100k", "R3  RT  0   100k 10%")
CSV = "Designator,Value,Tolerance\nR3,100k,1%\n"

CASES = (
    Case("a bare line in a file beside the board is a statement", RUN, 1, ("bell.intent:1:1: error: XU1",), (), {"bell.cir": UNSTATED, "bell.intent": "expect XU1 frequency 9kHz +/- 6%\n"}),
    Case("the grammar is the same in both places", RUN, 0, ("gate passed",), (), {"bell.cir": UNSTATED, "bell.intent": "expect XU1 frequency 8kHz +/- 6%  # a remark\n"}),
    Case("prefixes are those of SI: M is mega", WARN, 0, (), (), bell("expect XU1 frequency 0.008MHz +/- 6%")),
    Case("and m is milli", WARN, 0, (), (), bell("expect XU1 period 0.125ms +/- 6%")),
    Case("only * is special in a name", RUN, 1, ("[statement-matches-nothing]",), (), bell("assume R? tolerance 1%", base=CLEAN)),
    Case("a name without a star is an exact path", RUN, 1, ("[statement-matches-nothing]",), (), bell("expect U1 frequency 8kHz +/- 6%")),
    Case("a pattern without a dot matches the last part of a path at any depth", WARN, 0, (), (), {"bell.cir": sample("horn").replace("tol=1% tc1=100u", ""), "bell.intent": (Path(__file__).resolve().parents[2] / "samples/fog-station/horn.intent").read_text(encoding="utf-8") + "assume RU* tolerance 1%, tempco 100ppm\nassume R* tolerance 1%, tempco 100ppm\n"}),
    Case("an odd name goes in quotes", WARN, 0, (), (), {"bell.cir": CLEAN.replace("XU1", "XU#1").replace("expect XU#1", 'expect "XU#1"')}),
    Case("a statement that matches nothing is a finding", RUN, 1, ("bell.cir:5:11: error:", "[statement-matches-nothing]"), (), bell("expect XU9 frequency 8kHz +/- 6%")),
    Case("a statement that cannot be read is a finding, with what was expected", RUN, 1, ("bell.cir:5:", "error:", "frequency"), (), bell("expect XU1 freqency 8kHz +/- 6%")),
    Case("expect frequency", RUN, 1, MISSED, (), bell("expect XU1 frequency 9kHz +/- 6%")),
    Case("expect period", RUN, 1, MISSED, (), bell("expect XU1 period 111us +/- 6%")),
    Case("expect pulse-width", RUN, 1, MISSED, (), shot("0.6s", "0.7s")),
    Case("a pulse width that is met passes", RUN, 0, ("gate passed",), (), shot()),
    Case("expect delay", RUN, 1, MISSED, (), {"bell.cir": sample("door").replace("delay 25ms", "delay 35ms")}),
    Case("expect delay-rising", RUN, 1, MISSED, (), {"bell.cir": sample("door").replace("delay 25ms", "delay-rising 35ms")}),
    Case("expect delay-falling", RUN, 1, MISSED, (), {"bell.cir": sample("door").replace("delay 25ms", "delay-falling 35ms")}),
    Case("expect duty", RUN, 1, MISSED, (), {"bell.cir": sample("dimmer").replace("duty 25% .. 35%", "duty 55% .. 65%")}),
    Case("expect prescale", RUN, 1, ("[strap-outside-intent]",), (), bell("expect XU1 prescale 200")),
    Case("expect code", RUN, 1, ("[strap-outside-intent]",), (), bell("expect XU1 code 7")),
    Case("expect polarity", RUN, 1, ("[strap-outside-intent]",), (), bell("expect XU1 polarity inverted")),
    Case("expect rest", RUN, 1, ("[rest-outside-intent]",), (), {"bell.cir": sample("lamp").replace("rest low", "rest high")}),
    Case("what an expectation is of is told where it is nothing", RUN, 1, ("bell.cir:5:", "rest"), (), bell("expect XU1 colour red")),
    Case("at least", WARN, 0, (), (), bell("expect XU1 frequency at least 7kHz")),
    Case("at least, and it is less", RUN, 1, MISSED, (), bell("expect XU1 frequency at least 9kHz")),
    Case("at most, and it is more", RUN, 1, MISSED, (), bell("expect XU1 frequency at most 7kHz")),
    Case("a span from one end to another", WARN, 0, (), (), bell("expect XU1 frequency 7.5kHz .. 8.5kHz")),
    Case("extremes are judged where nothing else is said", WARN, 1, ("[timing-outside-intent]",), (), bell("expect XU1 frequency 8kHz +/- 2.2%")),
    Case("using rss", WARN, 0, (), (), bell("expect XU1 frequency 8kHz +/- 2.2% using rss")),
    Case("using monte-carlo", WARN, 0, (), (), bell("expect XU1 frequency 8kHz +/- 2.2% using monte-carlo")),
    Case("when a net has a voltage", RUN, 0, ("gate passed",), (), bell("signal vctl 0V .. 0.6V", "expect XU1 frequency 8kHz +/- 6% when vctl = 0.6V", base=STEERED)),
    Case("and at another voltage another frequency", RUN, 0, ("gate passed",), (), bell("signal vctl 0V .. 0.6V", "expect XU1 frequency 10.67kHz +/- 6% when vctl = 0V", base=STEERED)),
    Case("when, and it is not", RUN, 1, MISSED, (), bell("signal vctl 0V .. 0.6V", "expect XU1 frequency 8kHz +/- 6% when vctl = 0V", base=STEERED)),
    Case("without a source of the voltage it is unproven", RUN, 1, ("not proven", "XDAC"), (), bell("expect XU1 frequency 8kHz +/- 6%", base=STEERED.replace("V1  VCC", "XDAC vctl VCC 0 CONVERTER\nV1  VCC"))),
    Case("supply states what a net has", RUN, 1, ("[supply-over-limit]",), (), {"bell.cir": CLEAN.replace("3.2V .. 3.4V", "6.2V .. 6.4V")}),
    Case("ramp states how a supply comes up", RUN, 0, ("gate passed",), (), bell("ramp VCC 5ms", base=CLEAN)),
    Case("not supply takes a net out of the supplies", RUN, 1, ("unknown", "VCC"), (), {"bell.cir": CLEAN.replace("supply VCC 3.2V .. 3.4V", "not supply VCC").replace("V1  VCC 0 3.3\n", "").replace("VCC", "VCC_3V3")}),
    Case("signal states when edges come", WARN, 1, ("[one-shot-misses-triggers]",), (), shot("2s .. 9s", "0.4s .. 9s")),
    Case("signal states how a contact bounces", RUN, 1, ("[pulse-shorter-than-bounce]",), (), shot("period 2s .. 9s, high 50ms .. 90ms", "bounce 700ms")),
    Case("load states what hangs on a net beyond the netlist", RUN, 1, ("[output-source-overload]",), (), bell("load OUT 30mA", base=CLEAN)),
    Case("same joins two nets", RUN, 0, ("gate passed",), (), {"bell.cir": CLEAN.replace("R3  RT  0   100k", "R3  RT  AGND 100k\n*@ same AGND 0")}),
    Case("and without it they are apart", RUN, 1, ("[rate-open]",), (), {"bell.cir": CLEAN.replace("R3  RT  0   100k", "R3  RT  AGND 100k")}),
    Case("ambient widens every span", WARN, 1, ("[ambient-out-of-range]",), (), {"bell.cir": CLEAN.replace("0degC .. 50degC", "-40degC .. 125degC")}),
    Case("assume a value", RUN, 1, MISSED, (), {"bell.cir": CLEAN.replace("R3  RT  0   100k", "R3  RT  0   R_TIME\n*@ assume R3 value 47kohm")}),
    Case("an assumed span of values must do at every setting", RUN, 1, MISSED, (), {"bell.cir": CLEAN.replace("R3  RT  0   100k", "R3  RT  0   R_TIME\n*@ assume R3 value 47kohm .. 100kohm")}),
    Case("a trimmer must do at some setting", RUN, 0, ("gate passed",), (), {"bell.cir": CLEAN.replace("R3  RT  0   100k", "R3  RT  0   100k\n*@ adjust R3 47kohm .. 220kohm")}),
    Case("a part that is not fitted is open", RUN, 1, ("[rate-open]",), (), bell("fit R3 no", base=CLEAN)),
    Case("a bill of materials goes before the line", f"{WARN} --bom b.csv", 1, ("[material-disagrees]",), (), {"bell.cir": LOOSE, "b.csv": CSV}, MISSED),
    Case("the line goes before an assumption", WARN, 1, MISSED, (), bell("assume R* tolerance 1%, tempco 100ppm", base=LOOSE)),
    Case("an assumption goes before the settings", WARN, 0, (), (), {"bell.cir": CLEAN, "tickproof.toml": '[assume]\nresistor-tolerance = "10%"\n'}),
    Case("of two assumptions the first that speaks of an element counts", WARN, 0, (), (), bell("assume R3 tolerance 10%", base=CLEAN)),
    Case("the settings go before the default", WARN, 1, MISSED, (), {"bell.cir": TOLERANT, "tickproof.toml": '[assume]\nresistor-tolerance = "10%"\n'}),
    Case("the default is 1 % and is marked as assumed", f"{RUN} --explain XU1", 0, ("R3 tolerance = +/- 1 % (default",), (), {"bell.cir": TOLERANT}),
    Case("a pass on an assumed tolerance is counted apart", TALLY, 0, ("pass-on-assumption XU1 frequency timing-outside-intent",), (), {"bell.cir": TOLERANT}),
    Case("a pass on a supply read in a net's name is counted apart", TALLY, 0, ("pass-on-assumption XU1 supply-out-of-range",), (), {"bell.cir": CLEAN.replace("*@ supply VCC 3.2V .. 3.4V\n", "").replace("V1  VCC 0 3.3\n", "").replace("VCC", "VCC_3V3")}),
    Case("an acceptance names the rule, the block, the reason, by whom and until when", f"{RUN} --date 2026-03-31", 0, ("accepted by board owner until 2027-03-31",), (), bell("expect XU1 frequency 9kHz +/- 6%", 'accept timing-outside-intent at XU1 because "lab units only" by "board owner" until 2027-03-31')),
    Case("an acceptance without a reason is none", RUN, 1, ("because",), (), bell("expect XU1 frequency 9kHz +/- 6%", "accept timing-outside-intent at XU1")),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[case.sentence for case in CASES])
def test_statements_keep_their_contract(case: Case, tmp_path: Path) -> None:
    """Each row of the table holds."""
    check(case, tmp_path)
