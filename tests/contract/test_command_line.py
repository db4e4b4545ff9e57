"""The command line as a table: commands, options, exit codes, how boards and settings are found."""

from pathlib import Path

import pytest

from tests.contract.running import CLEAN, UNREAD, UNSTATED, WRONG_RATE
from tests.contract.table import Case, check

BELL = {"bell.cir": CLEAN}
PART = '[part.ZZ1]\ntitle = "odd"\nsource = "invented"\nfunction = "oscillator"\npins = ["supply"]\nsupply = { rated = "5 bananas" }\n'
RULE = 'rule odd\n    title "odd"\n    for block\n    require nothing.known >= 3V else error\n'
HOUSE = """rule house-rate
    title    "This house's timing resistors are 120 kohm at least"
    for      block with rate
    require  rate.resistance >= 120 kohm  else error
    say      "{block}: {rate.resistance} is less than this house uses"
    advice   "Take another prescale"
    because  "a custom of this test"
    source   "common practice, no source"
    breaks
        | a small one
        | V1 vdd 0 3.3
        | R1 vdd cfg 20k
        | R2 cfg 0 13.7k
        | R3 rt 0 100k
        | XU1 vdd cfg out 0 rt vdd HA10
    edit     "R3 rt 0 100k" to "R3 rt 0 150k"
"""
TURNED = "turn strap-near-threshold clearance = 0.3 steps\n"
OFF = 'off timing-outside-intent because "lab units"\n'
TWO = {"a.cir": CLEAN, "b.cir": CLEAN}
CHAINED = """one block wakes another
V1 vdd 0 3.3
R1 vdd cfg 130k
R2 cfg 0 68.1k
R3 rt 0 100k
XU1 vdd cfg tick 0 rt 0 HA20
XG1 tick tock vdd 0 HA70
R6 rt2 0 100k
XU2 vdd cfg pulse 0 rt2 tock HA40
.end
"""

CASES = (
    Case("a board that does what is wanted passes", "review bell.cir", 0, ("gate passed", "1 block:"), (), BELL),
    Case(
        "a block that misses its frequency fails, with file, line, column, level and rule",
        "review bell.cir",
        1,
        ("bell.cir:5:4: error: XU1", "[timing-outside-intent]", "gate NOT passed: 1 at error"),
        (),
        {"bell.cir": WRONG_RATE},
    ),
    Case("a note does not fail the default gate", "review a.cir", 0, (" note: ", "0 at error, 1 below"), (), {"a.cir": UNSTATED}),
    Case("--gate note fails on a note", "review a.cir --gate note", 1, (), (), {"a.cir": UNSTATED}),
    Case("options may stand before the board", "review --gate note a.cir", 1, (), (), {"a.cir": UNSTATED}),
    Case("a folder is searched", "review .", 0, ("a.cir", "sub/b.sp", "2 blocks"), (), {"a.cir": CLEAN, "sub/b.sp": CLEAN}),
    Case("a line that cannot be read is shown with a caret", "review a.cir", 1, ("\n    47Kohm6 SPARE 0 R\n    ^^^^^^^\n", "1 block:"), (), {"a.cir": UNREAD}),
    Case("no command is told, with all there are", "", 2, (), ("expected a command (review, inventory",)),
    Case("a wrong command is told, with the one meant", "reveiw a.cir", 2, (), ('did you mean "review"?',)),
    Case("a wrong option is told, with the one meant", "review bell.cir --gat error", 2, (), ('did you mean "--gate"?',), BELL),
    Case("a wrong level is told", "review bell.cir --gate fatal", 2, (), ("--gate", "fatal"), BELL),
    Case("a wrong date is told", "review bell.cir --date tomorrow", 2, (), ("--date", "2026-03-31"), BELL),
    Case("a wrong number of draws is told", "review bell.cir --draws 3", 2, (), ("--draws", "from 100 to"), BELL),
    Case("a missing file is told", "review none.cir", 2, (), ("none.cir: error: no such file or folder",)),
    Case("a folder without netlists is told", "review sub", 2, (), ("sub: error: no netlist in this folder",), {"sub/a.txt": ""}),
    Case("an empty file is told", "review a.cir", 2, ("a.cir: error:",), (), {"a.cir": ""}),
    Case("a binary file is told", "review a.cir", 2, ("a.cir: error:",), (), {"a.cir": bytes(range(256)) * 8}),
    Case(
        "of several boards one that cannot be read does not stop the rest",
        "review a.cir b.cir",
        2,
        ("a.cir: error:", "b.cir:5:4: error: XU1"),
        (),
        {"a.cir": "", "b.cir": WRONG_RATE},
    ),
    Case("a missing part file is told", "review bell.cir --parts no.toml", 2, (), ("no.toml: error: no such file",), BELL),
    Case("a wrong part file is told", "review bell.cir --parts p.toml", 2, (), ("p.toml:6:", "ZZ1", "expected"), BELL | {"p.toml": PART}),
    Case("a wrong rule is told", "review bell.cir --rules r.rule", 2, (), ("r.rule:1:6: error: the rule has no",), BELL | {"r.rule": RULE}),
    Case(
        "everything wrong with the named inputs is told at once",
        "review none.cir --parts no.toml --rules no.rule",
        2,
        (),
        ("none.cir: error", "no.toml: error", "no.rule: error"),
    ),
    Case(
        "a wrong statement is a finding, and the rest is reviewed",
        "review bell.cir",
        1,
        ("bell.cir:2:", "1 block:"),
        (),
        {"bell.cir": CLEAN.replace("supply VCC 3.2V", "supply VCC 3.2 bananas")},
    ),
    Case(
        "an intent file beside the board is read",
        "review bell.cir",
        1,
        ("bell.intent:1:1: error: XU1",),
        (),
        {"bell.cir": UNSTATED, "bell.intent": "expect XU1 frequency 17kHz +/- 6%\n"},
    ),
    Case(
        "where two boards share a stem, the intent names the whole file",
        "review bell.cir",
        1,
        ("bell.cir.intent:1:1: error: XU1",),
        (),
        {"bell.cir": UNSTATED, "bell.net": UNSTATED, "bell.cir.intent": "expect XU1 frequency 17kHz +/- 6%\n"},
    ),
    Case(
        "an intent that two boards could claim is nobody's, and that is said",
        "review bell.cir",
        0,
        ("bell.intent: warning: ", "bell.cir.intent"),
        (),
        {"bell.cir": UNSTATED, "bell.net": UNSTATED, "bell.intent": "expect XU1 frequency 17kHz +/- 6%\n"},
    ),
    Case("--intent speaks of one board", "review a.cir b.cir --intent i.intent", 2, (), ("--intent speaks of one board",), TWO | {"i.intent": ""}),
    Case("a missing intent file is told", "review bell.cir --intent no.intent", 2, (), ("no.intent: error: no such file",), BELL),
    Case(
        "an accepted finding does not fail the gate",
        "review bell.cir --date 2026-03-31",
        0,
        ("1 accepted", 'accepted by board owner until 2027-03-31: "lab units only"'),
        (),
        {
            "bell.cir": WRONG_RATE,
            "bell.intent": 'accept timing-outside-intent at XU1 because "lab units only" by "board owner" until 2027-03-31\n',
        },
    ),
    Case(
        "an acceptance that has ended is a finding, and accepts nothing",
        "review bell.cir --date 2027-04-01",
        1,
        ("[acceptance-expired]", "[timing-outside-intent]"),
        (),
        {
            "bell.cir": WRONG_RATE,
            "bell.intent": 'accept timing-outside-intent at XU1 because "lab units only" by "board owner" until 2027-03-31\n',
        },
    ),
    Case(
        "an acceptance that matches nothing is a finding",
        "review bell.cir",
        0,
        ("bell.intent:1:1: warning: the acceptance of strap-open at XU1 matches no finding [acceptance-unused]",),
        (),
        BELL | {"bell.intent": 'accept strap-open at XU1 because "none"\n'},
    ),
    Case("a report of an unknown form is told", "review bell.cir --report jsn=a", 2, (), ('did you mean "json"?',), BELL),
    Case("two reports on standard output are refused", "review bell.cir --report json=- json=-", 2, (), ("found - twice",), BELL),
    Case("a report in a missing folder is told", "review bell.cir --report json=no/a.json", 2, (), ("there is no folder",), BELL),
    Case("a report on standard output leaves the findings to standard error", "review bell.cir --report json=-", 1, ('"schema": "tickproof-review/1"',), ("[timing-outside-intent]",), {"bell.cir": WRONG_RATE}),
    Case("known findings need their file", "review bell.cir --known no.json", 2, (), ("no.json: error: no such file",), BELL),
    Case("a wrong file of known findings is told", "review bell.cir --known k.json", 2, (), ("k.json", "is not JSON"), BELL | {"k.json": "{"}),
    Case("--accept needs --known", "review bell.cir --accept", 2, (), ("--known",), BELL),
    Case("a wrong setting is told with its line", "review bell.cir", 2, (), ("tickproof.toml:1:1: error: unknown key gaet; did you mean gate?",), BELL | {"tickproof.toml": 'gaet = "error"\n'}),
    Case("settings are found upward", "review hw/a.cir", 1, (), (), {"hw/a.cir": UNSTATED, "tickproof.toml": 'gate = "note"\n'}),
    Case("an option beats a setting", "review a.cir --gate error", 0, (), (), {"a.cir": UNSTATED, "tickproof.toml": 'gate = "note"\n'}),
    Case("boards may come from the settings", "review", 0, ("2 blocks",), (), {"hw/a.cir": CLEAN, "hw/b.cir": CLEAN, "tickproof.toml": 'boards = ["hw/*.cir"]\n'}),
    Case("without boards that is told", "review", 2, (), ("no board is named",)),
    Case("a pattern that matches nothing is told", "review", 2, (), ("hw/*.cir", "matches nothing"), {"tickproof.toml": 'boards = ["hw/*.cir"]\n'}),
    Case("missing settings are told", "review bell.cir --settings no.toml", 2, (), ("no.toml: error: no such settings file",), BELL),
    Case("--explain shows where a fact comes from", "review bell.cir --explain XU1", 0, ("timing.frequency = ", "law: ", "from R3 = 100 kohm"), (), BELL),
    Case("a block to explain must be there", "review bell.cir --explain XU9", 2, ("nothing to report",), ("no block XU9", "XU1"), BELL),
    Case("--tally lists every verdict", "review bell.cir --tally", 0, ("every verdict", "pass", "timing-outside-intent"), (), BELL),
    Case("inventory lists blocks, whatever is wrong with them", "inventory bell.cir", 0, ("XU1", "HA10", "oscillator", "6 x100", "17.02 kHz"), (), {"bell.cir": WRONG_RATE}),
    Case("inventory of an unreadable board is 2", "inventory bell.cir", 2, ("not read",), (), {"bell.cir": ""}),
    Case("inventory says why a time is not known", "inventory bell.cir", 0, ("? XU1: R3 has no usable value",), (), {"bell.cir": CLEAN.replace("100k", "?")}),
    Case("--chains draws which block acts on which", "inventory a.cir --chains", 0, ("XU1 HA20 2.5 s -> trigger -> XU2 HA40 5 ms", "through XG1, inverted", "every 2.5 s"), (), {"a.cir": CHAINED}),
    Case("--chains says where no block acts on another", "inventory bell.cir --chains", 0, ("no chain",), (), BELL),
    Case("the JSON report has the chains", "review a.cir --report json=-", 0, ('"from": "XU1"', '"to": "XU2"', '"role": "trigger"', '"inverted": true'), (), {"a.cir": CHAINED}),
    Case("parts are listed", "parts", 0, ("HA10", "slow-oscillator")),
    Case("a part is described", "parts ha10", 0, ("HA10", "steerable oscillator", "2 V .. 5.4 V")),
    Case("a part that is not known is told", "parts HA1O", 2, (), ('did you mean "HA',)),
    Case("rules are listed", "rules", 0, ("strap-near-threshold", "warning")),
    Case("a rule is explained", "rules strap-near-threshold", 0, ("because", "source")),
    Case("a rule that is not known is told", "rules strap-near", 2, (), ("strap-near",)),
    Case("facts are listed", "rules --facts", 0, ("strap.margin", "steps")),
    Case("only boards that a change reaches are reviewed", "review --touched a.cir", 0, ("a.cir  1 block", "1 block:"), (), {"a.cir": CLEAN, "b.cir": WRONG_RATE}),
    Case("a change that reaches no board passes", "review --touched notes.txt", 0, ("0 blocks:",), (), {"a.cir": WRONG_RATE}),
    Case("a bill of materials goes before the netlist", "review bell.cir --bom b.csv", 1, ("b.csv:2:", "[timing-outside-intent]"), (), BELL | {"b.csv": "Designator,Value\nR3,47k\n"}),
    Case("--bom speaks of one board", "review a.cir b.cir --bom b.csv", 2, (), ("--bom speaks of one board",), TWO | {"b.csv": "Designator,Value\n"}),
    Case("a bill of materials without designators is told", "review bell.cir --bom b.csv", 2, (), ("b.csv:1:", "designator"), BELL | {"b.csv": "Colour,Taste\nred,salt\n"}),
    Case("of files in a folder the hidden ones are skipped", "review .", 0, ("1 block:",), (), {"a.cir": CLEAN, ".b.cir": WRONG_RATE, ".c/d.cir": WRONG_RATE}),
    Case("a file that another includes is no board", "review .", 0, ("a.cir 1 block, 7 elements", "1 block:"), (), {"a.cir": CLEAN.replace("R4  OUT 0   10k", ".include b.cir"), "b.cir": "R4 OUT 0 10k\n"}),
    Case("boards of a folder come sorted", "inventory .", 0, ("a.cir block", "b.cir block"), (), TWO),
    Case("only files with a netlist's suffix are boards", "review .", 0, ("1 block:",), (), {"a.cir": CLEAN, "b.txt": WRONG_RATE}),
    Case("a named file needs no suffix", "review a.txt", 0, ("1 block:",), (), {"a.txt": CLEAN}),
    Case("--intent is read in place of the file beside the board", "review bell.cir --intent i.txt", 1, ("i.txt:1:1: error: XU1",), (), {"bell.cir": UNSTATED, "bell.intent": "expect XU1 frequency 8kHz +/- 6%\n", "i.txt": "expect XU1 frequency 9kHz +/- 6%\n"}),
    Case("--rules adds a house's own rules to the built-in ones", "review bell.cir --rules r.rule", 1, ("[house-rate]",), (), BELL | {"r.rule": HOUSE}),
    Case("a house's rule book may turn a knob", "rules strap-near-threshold --rules r.rule", 0, ("0.3 steps",), (), {"r.rule": TURNED}),
    Case("a house's rule book may switch a rule off, with a reason", "review bell.cir --rules r.rule", 0, ("gate passed",), (), {"bell.cir": WRONG_RATE, "r.rule": OFF}),
    Case("switched off without a reason is refused", "review bell.cir --rules r.rule", 2, (), ("r.rule:1:", "because"), BELL | {"r.rule": OFF.partition("because")[0] + "\n"}),
    Case("--settings names another settings file", "review a.cir --settings s.toml", 1, (), (), {"a.cir": UNSTATED, "s.toml": 'gate = "note"\n'}),
    Case("--seed and --draws are recorded", "review bell.cir --seed 7 --draws 500 --report json=-", 0, ('"seed": 7', '"draws": 500'), (), BELL),
    Case("the date is an input, and recorded", "review bell.cir --date 2031-05-06 --report json=-", 0, ('"date": "2031-05-06"',), (), BELL),
    Case("the gate is recorded", "review a.cir --gate note --report json=-", 1, ('"gate": "note"', '"passed": false'), (), {"a.cir": UNSTATED}),
    Case("SARIF, JUnit, CSV and HTML are written too", "review bell.cir --report sarif=a junit=b csv=c html=d", 0, ("gate passed",), (), BELL),
    Case("several processes judge as one", "review . --jobs 2", 1, ("b.cir:5:4: error: XU1", "2 blocks:"), (), {"a.cir": CLEAN, "b.cir": WRONG_RATE}),
    Case("what fits is sized", "size --frequency 10kHz --part HA10", 0, ("HA10", "kHz")),
    Case("size ends with 1 where nothing fits", "size --frequency 10GHz --part HA10", 1, ("nothing",), ()),
    Case("size wants one quantity", "size --part HA10", 2, (), ("--frequency", "--period")),
    Case("size: a wrong quantity is told", "size --frequency 10bananas", 2, (), ("10bananas",)),
    Case("size by period", "size --period 30min --part HA20", 0, ("HA20",)),
    Case("size by pulse width", "size --pulse-width 15ms --part HA40", 0, ("HA40",)),
    Case("size by delay", "size --delay 25ms --part HA50", 0, ("HA50",)),
    Case("mend shows what it would do, and does not do it", "mend bell.cir", 0, ("+++ bell.cir (mended)", "1 remedy, not written"), (), {"bell.cir": WRONG_RATE}),
    Case("mend --write does it, and nothing remains", "mend bell.cir --write", 0, ("written",), (), {"bell.cir": WRONG_RATE}),
    Case("mend of a clean board has nothing to do", "mend bell.cir", 0, ("nothing",), (), BELL),
    Case("mend ends with 1 where a finding at the gate remains", "mend bell.cir", 1, ("nothing to mend", "[strap-outside-intent]"), (), {"bell.cir": WRONG_RATE.replace("V1 ", "*@ expect XU1 code 15\nV1 ")}),
    Case("an empty folder is told by inventory too", "inventory sub", 2, (), ("sub: error: no netlist",), {"sub/a.txt": ""}),
    Case("start writes settings for what it finds", "start", 0, ("wrote tickproof.toml: boards hw/*.cir",), (), {"hw/a.cir": CLEAN}),
    Case("start leaves settings alone that are there", "start", 2, (), ("is there already",), {"tickproof.toml": ""}),
    Case("every command teaches with an example", "review --help", 0, ("example:\n  tickproof review",)),
    Case("help lists the commands", "--help", 0, ("review", "inventory", "parts", "rules", "exit codes")),
    Case("the version is told", "--version", 0, ("tickproof 0.",)),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[case.sentence for case in CASES])
def test_the_command_line_keeps_its_contract(case: Case, tmp_path: Path) -> None:
    """Each row of the table holds, and nobody ever sees a traceback or hears of a bug."""
    check(case, tmp_path)
