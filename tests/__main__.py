"""`python -m tests`: every check of the project, in the order of what fails fastest."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FOLDERS = ("drc", "tests")

CHECKS = (
    ("format", ("-m", "ruff", "format", "--check", *FOLDERS)),
    ("lint", ("-m", "ruff", "check", *FOLDERS)),
    ("types", ("-m", "mypy")),
    (
        "import contracts",
        ("-c", "import sys; from importlinter.cli import lint_imports_command as c; sys.exit(c())"),
    ),
    ("tests", ("-m", "pytest", *sys.argv[1:])),
)


def main() -> int:
    """Runs every check, also after one has failed, and says at the end which did. 0 if none did."""
    failed = []
    for name, command in CHECKS:
        print(f"== {name}", flush=True)
        if subprocess.run([sys.executable, *command], cwd=ROOT, check=False).returncode:
            failed.append(name)
    print("== all checks passed" if not failed else f"== failed: {', '.join(failed)}", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
