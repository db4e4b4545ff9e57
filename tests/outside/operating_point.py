"""Operating points by a general-purpose circuit simulator (ngspice, Debian package of that name)."""

import re
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

SIMULATOR = shutil.which("ngspice")
WHY_SKIPPED = "the circuit simulator ngspice is not installed"


def operating_points(paths: Sequence[Path], folder: Path) -> list[dict[str, float]]:
    """Node voltages and source currents (`v1#branch`), a dictionary a board file, out of one process."""
    script = ["many boards", ".control", "set numdgt=15"]
    for path in paths:
        script += [f"source {path.name}", f"echo {path.stem}", "op", "print all"]
    (folder / "all.cir").write_text("\n".join([*script, "quit", ".endc", ".end", ""]), encoding="ascii")
    assert SIMULATOR is not None
    run = subprocess.run(
        [SIMULATOR, "-b", "all.cir"], cwd=folder, capture_output=True, text=True, timeout=300, check=False
    )
    found: list[dict[str, float]] = []
    for part in re.split(r"^board\d+$", run.stdout, flags=re.MULTILINE)[1:]:
        rows = re.findall(r"^([a-z][\w.#]*) = (\S+)$", part, flags=re.MULTILINE)
        found.append({"0": 0.0, **{name: float(value) for name, value in rows}})
    assert len(found) == len(paths), run.stderr[-2000:]
    return found
