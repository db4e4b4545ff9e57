"""What README tells to type beyond its shown output: the steps of a build machine, and the plain hook."""

import json
import re
import shlex
import shutil
from pathlib import Path

from tests.contract.repository import Repository
from tests.contract.running import COMMAND, WRONG_RATE, lay, tickproof
from tests.samples.readme import README, ROOT

TEXT = README.read_text(encoding="utf-8")


def block(start: str) -> str:
    """The block of text in README that begins so."""
    (found,) = re.findall(rf"^```text\n({re.escape(start)}.*?)^```$", TEXT, re.MULTILINE | re.DOTALL)
    return str(found)


def test_the_steps_of_a_build_machine(tmp_path: Path) -> None:
    """The last step reviews the boards, ends with the gate's verdict, and leaves every report it names."""
    steps = block("git fetch").replace("\\\n", " ").splitlines()
    assert [shlex.split(step, comments=True)[0] for step in steps] == [
        "git", "python3", "mkdir", ".venv/bin/tickproof",
    ]  # fmt: skip
    shutil.copytree(ROOT / "samples" / "fog-station", tmp_path / "boards")
    lay(tmp_path, {"known.json": '{"schema": "tickproof-known/1", "findings": []}\n'})
    (tmp_path / shlex.split(steps[2])[-1]).mkdir()
    ran = tickproof(tmp_path, shlex.split(steps[3])[1:])
    assert (ran.code, ran.err) == (1, "")
    written = {path.name for path in (tmp_path / "reports").iterdir()}
    assert written == {"review.json", "review.sarif", "review.xml", "blocks.csv", "review.html"}
    assert json.loads((tmp_path / "reports" / "review.json").read_text(encoding="utf-8"))["passed"] is False


def test_the_plain_hook(tmp_path: Path) -> None:
    """The two lines of a hook refuse a commit that is wrong."""
    made = Repository(
        tmp_path / "repository", {"known.json": '{"schema": "tickproof-known/1", "findings": []}'}
    )
    hook = made.folder / ".git" / "hooks" / "pre-commit"
    hook.write_text(block("#!/bin/sh").replace("tickproof", str(COMMAND), 1), encoding="utf-8")
    hook.chmod(0o755)
    made.git("add", ".")
    assert made.git("commit", "-q", "-m", "begin").code == 0
    lay(made.folder, {"a.cir": WRONG_RATE})
    made.git("add", ".")
    refused = made.git("commit", "-q", "-m", "wrong")
    assert refused.code == 1
    assert "a.cir:5:4: error" in refused.out + refused.err
