"""A finding's whole life through the real hook, and what every report says of it at each step.

New, known, moved, a second of its kind, changed, fixed, accepted, expired: one script, as a team lives it.
"""

import csv
import json
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple
from xml.etree import ElementTree

import jsonschema
import pytest
import xmlschema

from drc.gate.own_rules import EXPIRED, GONE
from drc.report import json_report
from tests.contract.repository import Repository, configured
from tests.contract.running import CLEAN, WRONG_RATE, lay

pytest.importorskip("pre_commit", reason="the pre-commit framework is not installed")

REVIEW = json.loads(Path(json_report.__file__).with_name("review.schema.json").read_text(encoding="utf-8"))
SCHEMAS = Path(__file__).parents[1] / "report" / "schemas"
SARIF = jsonschema.Draft4Validator(json.loads((SCHEMAS / "sarif-2.1.0.json").read_text(encoding="utf-8")))
JUNIT = xmlschema.XMLSchema10(SCHEMAS / "junit.xsd")

RULE = "timing-outside-intent"
OTHER_FAULT = CLEAN.replace("100k", "51k")
ACCEPTED = f'*@ accept {RULE} at XU1 because "a mock-up" by "board owner" until 2027-03-31\nV1 '
"""Stands before the supply of the board."""

FORMATS = ("json", "sarif", "junit", "csv", "html")


class Seen(NamedTuple):
    """What one report says: (rule, what it makes of it) a finding, sorted; whether the gate holds."""

    findings: list[tuple[str, str]]
    passed: bool


class Step(NamedTuple):
    """A commit: whether it was let through, what it printed, and what the reports say."""

    let_through: bool
    printed: str
    reports: dict[str, str]

    def of_json(self) -> Seen:
        """JSON: the state of each finding."""
        report = json.loads(self.reports["json"])
        jsonschema.Draft202012Validator(REVIEW).validate(report)
        findings = [finding for board in report["boards"] for finding in board["findings"]]
        assert all((f["acceptance"] is not None) == (f["state"] == "accepted") for f in findings)
        return Seen(sorted((f["rule"], f["state"]) for f in findings), report["passed"])

    def of_sarif(self) -> Seen:
        """SARIF: the state against the baseline, `suppressed` where it is accepted."""
        log = json.loads(self.reports["sarif"])
        SARIF.validate(log)
        results: list[dict[str, Any]] = log["runs"][0]["results"]
        told = sorted(
            (result["ruleId"], "suppressed" if result["suppressions"] else result["baselineState"])
            for result in results
        )
        fails = any(
            result["level"] == "error" and not result["suppressions"] and result["baselineState"] == "new"
            for result in results
        )
        return Seen(told, not fails)

    def of_junit(self) -> Seen:
        """JUnit: `failure`, or `skipped` with its reason; a finding below the gate has a text of its own."""
        JUNIT.validate(self.reports["junit"])
        told = []
        for case in ElementTree.fromstring(self.reports["junit"]).iter("testcase"):
            for child in case:
                kind = child.attrib.get("type", "below")
                if kind != "not-applicable" and child.text != "rests on an assumption":
                    told.append((case.attrib["name"], child.tag if child.tag == "failure" else kind))
        return Seen(sorted(told), "<failure" not in self.reports["junit"])

    def of_html(self) -> Seen:
        """HTML: the state that each finding's heading shows, and the verdict."""
        text = self.reports["html"]
        pieces = re.findall(r'<article class="finding.*?</article>', text, re.DOTALL)
        told = []
        for piece in pieces:
            (state,) = re.findall(r'data-state="(\w+)"', piece)
            heading = re.search(r"<h4.*?</h4>", piece, re.DOTALL)
            assert heading is not None
            assert state == "new" or f">{state}<" in heading[0]
            (rule,) = set(re.findall(r"<code>([a-z-]+)</code>", piece)) & {RULE, GONE.name, EXPIRED.name}
            told.append((rule, state))
        return Seen(sorted(told), "gate NOT passed" not in text)

    def open_in_csv(self) -> int:
        """CSV: how many findings of its blocks are open, over all blocks."""
        rows = list(csv.DictReader(self.reports["csv"].splitlines()))
        return sum({row["board"]: int(row["open findings"]) for row in rows}.values())

    def on_terminal(self) -> Seen:
        """The page: a finding's label in the first column; and the lines for editors, open findings alone."""
        labels = re.findall(
            r"^  (fail|at-risk|note|known|accepted) .*?\[([a-z-]+)\]", self.printed, re.M | re.S
        )
        lines = re.findall(r"^\S+:\d+:\d+: \w+: .*\[([a-z-]+)\]$", self.printed, re.MULTILINE)
        settled = ("known", "accepted")
        assert sorted(lines) == sorted(rule for label, rule in labels if label not in settled)
        told = sorted((rule, label if label in settled else "new") for label, rule in labels)
        return Seen(told, "gate NOT passed" not in self.printed)


class Team:
    """A repository with the hook, that writes every report outside of it at each commit."""

    def __init__(self, folder: Path) -> None:
        self.out = folder / "out"
        self.out.mkdir()
        self.repository = Repository(folder / "repository", {"hw/bell.cir": CLEAN})
        self.today("2026-03-31")
        self.repository.install()

    def today(self, date: str) -> None:
        """Sets the date of the reviews."""
        reports = [f"{form}={self.out / form}" for form in FORMATS]
        arguments = ["--known", "known.json", "--date", date, "--report", *reports]
        quoted = [f'"{argument}"' for argument in arguments]
        lay(self.repository.folder, {".pre-commit-config.yaml": configured(quoted)})
        self.repository.git("add", ".pre-commit-config.yaml")

    def write(self, name: str, text: str) -> None:
        """Writes a file and stages it."""
        lay(self.repository.folder, {name: text})
        self.repository.git("add", name)

    def take_down(self, *more: str) -> None:
        """Writes the known findings of all boards, and stages the file."""
        ran = self.repository.tickproof("review", ".", "--known", "known.json", "--accept", *more)
        assert ran.code in (0, 1), ran.err
        self.repository.git("add", "known.json")

    def commit(self) -> Step:
        """Commits what is staged; the reports are those of this commit alone."""
        for path in self.out.iterdir():
            path.unlink()
        ran = self.repository.git("commit", "-q", "-m", "a step")
        reports = {form: self._report(form) for form in FORMATS if (self.out / form).exists()}
        return Step(ran.code == 0, ran.out + ran.err, reports)

    def _report(self, form: str) -> str:
        return (self.out / form).read_bytes().decode("utf-8")


def held(step: Step, passed: bool, states: Sequence[tuple[str, str]]) -> None:
    """Every report tells the same of a step, each in its own words."""
    sarif = {"new": "new", "known": "unchanged", "accepted": "suppressed"}
    junit = {"new": "failure", "known": "known", "accepted": "accepted"}
    assert step.let_through == passed
    assert step.of_json() == step.of_html() == Seen(sorted(states), passed)
    gone = [(GONE.name, "absent") for rule, _ in states if rule == GONE.name]
    rest = [(rule, state) for rule, state in states if rule != GONE.name]
    assert step.of_sarif() == Seen(sorted([*((rule, sarif[state]) for rule, state in rest), *gone]), passed)
    milder = (GONE.name, EXPIRED.name)
    told = [(rule, "below" if rule in milder else junit[state]) for rule, state in states]
    assert step.of_junit() == Seen(sorted(told), passed)
    assert step.open_in_csv() == sum(rule == RULE and state == "new" for rule, state in states)
    assert step.on_terminal() == Seen(sorted(states), passed)


def test_a_findings_whole_life(tmp_path: Path) -> None:
    """Each step of the life, through the hook and in every report."""
    team = Team(tmp_path)
    team.repository.git("add", ".")

    missing = team.commit()
    assert not missing.let_through
    assert "known.json: error: no such file" in missing.printed
    assert missing.reports == {}

    team.take_down()
    begun = team.commit()
    held(begun, True, [])

    team.write("hw/bell.cir", WRONG_RATE)
    new = team.commit()
    held(new, False, [(RULE, "new")])
    assert "hw/bell.cir:5:4: error: XU1 gives" in new.printed

    team.take_down()
    held(team.commit(), False, [(RULE, "new")])
    team.take_down("all")
    known = team.commit()
    held(known, True, [(RULE, "known")])
    mark = json.loads(known.reports["json"])["boards"][0]["findings"][0]["fingerprint"]
    assert f'"fingerprint": "{mark}", "count": 1' in (team.repository.folder / "known.json").read_text(
        "utf-8"
    )

    team.repository.git("mv", "hw/bell.cir", "hw/tower.cir")
    team.write("hw/tower.cir", WRONG_RATE.replace("V1 ", "* a remark, and\n* another\nV1 "))
    held(team.commit(), True, [(RULE, "known")])

    team.write("hw/second.cir", WRONG_RATE)
    team.write("hw/tower.cir", WRONG_RATE)
    held(team.commit(), False, [(RULE, "known"), (RULE, "new")])
    team.repository.git("rm", "-q", "-f", "hw/second.cir")

    team.write("hw/tower.cir", OTHER_FAULT)
    changed = team.commit()
    held(changed, False, [(RULE, "new"), (GONE.name, "new")])
    assert mark not in changed.reports["json"]

    team.write("hw/tower.cir", CLEAN)
    held(team.commit(), True, [(GONE.name, "new")])

    team.write("tickproof.toml", '[known]\nfixed = "error"\n')
    until_written = team.commit()
    assert not until_written.let_through
    assert until_written.of_json() == Seen([(GONE.name, "new")], False)
    assert "[known-finding-gone]" in until_written.printed
    team.take_down()
    held(team.commit(), True, [])

    team.write("hw/tower.cir", WRONG_RATE.replace("V1 ", ACCEPTED))
    accepted = team.commit()
    held(accepted, True, [(RULE, "accepted")])
    (result,) = json.loads(accepted.reports["sarif"])["runs"][0]["results"]
    assert result["suppressions"][0]["justification"] == "a mock-up (by board owner) until 2027-03-31"
    assert "a mock-up" in accepted.reports["html"]

    team.today("2027-04-01")
    team.write("hw/tower.cir", WRONG_RATE.replace("V1 ", ACCEPTED) + "* looked at again\n")
    held(team.commit(), False, [(RULE, "new"), (EXPIRED.name, "new")])
