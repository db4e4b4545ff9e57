"""The same input, settings, date and seed give the same bytes, whatever else the machine does."""

import shutil
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from drc.report.formats import FORMATS
from tests.contract.everything import COMMANDS, RULED, SITE, Ran, lay_project, run, with_reports
from tests.contract.running import lay

BACKWARDS = """
import os
real = os.scandir, os.listdir
class Backwards:
    def __init__(self, found): self.found = iter(sorted(found, key=lambda entry: entry.name, reverse=True))
    def __iter__(self): return self
    def __next__(self): return next(self.found)
    def __enter__(self): return self
    def __exit__(self, *_): pass
    def close(self): pass
os.scandir = lambda path=".": Backwards(real[0](path))
os.listdir = lambda path=".": sorted(real[1](path), reverse=True)
"""
"""A sitecustomize under which every folder lists its files backwards."""


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project, one for all tests that leave it as it is."""
    return lay_project(tmp_path_factory.mktemp("determinism") / "project")


@pytest.fixture(scope="module")
def reference(project: Path) -> Ran:
    """The review that the others are held against, with every form of report."""
    ran = run(project, with_reports(COMMANDS["review"]))
    assert ran.code == 2
    assert sorted(ran.files) == sorted(f"report.{form}" for form in FORMATS)
    forget(project, ran)
    return ran


def forget(folder: Path, ran: Ran) -> None:
    """Takes away the reports that a run wrote."""
    for name in ran.files:
        (folder / name).unlink()


def again(project: Path, arguments: tuple[str, ...] = COMMANDS["review"], **environment: str) -> Ran:
    """The review with every form of report once more, under other circumstances."""
    ran = run(project, with_reports(arguments), **environment)
    forget(project, ran)
    return ran


@pytest.mark.parametrize("seed", ["1", "4242"])
def test_the_hash_seed_changes_nothing(project: Path, reference: Ran, seed: str) -> None:
    """Sets and tables in another order print and write the same."""
    assert again(project, PYTHONHASHSEED=seed) == reference


@pytest.mark.parametrize("jobs", ["2", "3"])
def test_the_number_of_processes_changes_nothing(project: Path, reference: Ran, jobs: str) -> None:
    """Several processes give the boards in the same order, with the same words, as one."""
    assert again(project, (*COMMANDS["review"], "--jobs", jobs)) == reference


def test_a_cold_cache_changes_nothing(project: Path, reference: Ran, tmp_path: Path) -> None:
    """Rules and parts compiled anew, or taken from the cache, judge and print the same."""
    cold = again(project, XDG_CACHE_HOME=str(tmp_path))
    assert list(tmp_path.rglob("*.json"))
    warm = again(project, XDG_CACHE_HOME=str(tmp_path))
    assert cold == warm == reference


@pytest.mark.parametrize("zone", ["EAS-14", "WES+12"])
def test_the_time_zone_changes_nothing_where_the_date_is_given(
    project: Path, reference: Ran, zone: str
) -> None:
    """With --date no clock is asked. The zones are POSIX ones, a day and two hours apart."""
    assert again(project, TZ=zone) == reference


def test_without_a_date_the_local_one_counts_and_nothing_else_differs(project: Path) -> None:
    """Today is what the clock shows where the command runs: in zones 26 hours apart always another day."""
    reports = {}
    for zone, hours in (("EAS-14", 14), ("WES+12", -12)):
        clock = [datetime.now(UTC) + timedelta(hours=hours)]
        ran = run(project, ("review", "hw/bell.cir", "--report", "json=report.json"), TZ=zone)
        clock.append(datetime.now(UTC) + timedelta(hours=hours))
        dates = {f"{time:%Y-%m-%d}" for time in clock}
        text = ran.files["report.json"].decode()
        (date,) = (day for day in dates if f'"date": "{day}"' in text)
        reports[zone] = (date, text.replace(date, "today"))
        forget(project, ran)
    (east, one), (west, other) = reports.values()
    assert east > west
    assert one == other


def test_the_order_of_files_in_their_folder_changes_nothing(
    project: Path, reference: Ran, tmp_path: Path
) -> None:
    """Folders that list their files backwards, or were filled the other way round, are reviewed the same."""
    lay(tmp_path / "site", {SITE: BACKWARDS})
    assert again(project, PYTHONPATH=str(tmp_path / "site")) == reference
    other = lay_project(tmp_path / "other", lambda names: sorted(names, reverse=True))
    assert again(other) == reference


def test_a_path_named_twice_counts_once(project: Path, reference: Ran) -> None:
    """The same folder twice, and a board of it once more by another spelling, change nothing."""
    arguments = ("review", "hw", "hw/../hw/", "hw/radio.cir", *COMMANDS["review"][2:])
    assert again(project, arguments) == reference


def test_the_working_folder_changes_no_report(project: Path, reference: Ran, tmp_path: Path) -> None:
    """Reports speak of paths from the project's root, wherever the command was run."""
    arguments = ("review", str(project / "hw"), *RULED)
    ran = run(tmp_path, with_reports(arguments))
    assert (ran.code, ran.files) == (reference.code, reference.files)
    inside = run(project / "hw", with_reports(("review", ".", *RULED), "../"))
    assert inside.code == reference.code
    assert {form: (project / f"report.{form}").read_bytes() for form in FORMATS} == {
        form: reference.files[f"report.{form}"] for form in FORMATS
    }
    for form in FORMATS:
        (project / f"report.{form}").unlink()


@pytest.fixture(scope="module")
def locales(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two locales, compiled for these tests: one whose letters have other cases, one with a decimal comma."""
    folder = tmp_path_factory.mktemp("locales")
    if shutil.which("localedef") is None:
        pytest.skip("localedef (Debian: libc-bin) is not installed")
    for name, charset in (("tr_TR", "ISO-8859-9"), ("de_DE", "UTF-8")):
        target = str(folder / f"{name}.{charset}")
        made = subprocess.run(
            ["localedef", "-i", name, "-f", charset, target], capture_output=True, timeout=60, check=False
        )
        if made.returncode:
            pytest.skip(f"localedef has no {name} (Debian: locales)")
    return folder


@pytest.mark.parametrize("name", ["tr_TR.ISO-8859-9", "de_DE.UTF-8"])
def test_the_locale_changes_nothing(project: Path, reference: Ran, locales: Path, name: str) -> None:
    """Reports are the same bytes in every locale; the page is the same words, in the locale's encoding."""
    ran = again(project, LOCPATH=str(locales), LC_ALL=name, LANG=name)
    encoding = name.partition(".")[2]
    assert (ran.code, ran.files) == (reference.code, reference.files)
    assert ran.out.decode(encoding) == reference.out.decode("utf-8")
    assert ran.err.decode(encoding) == reference.err.decode("utf-8")


@pytest.mark.parametrize("form", FORMATS)
def test_a_report_on_standard_output_is_the_same_bytes_in_every_locale(
    project: Path, odd: Ran, locales: Path, form: str
) -> None:
    """A report on standard output is what would stand in the file, whatever the locale's encoding is."""
    arguments = ("review", "hw/odd.cir", *RULED, "--report", f"{form}=-")
    ran = run(project, arguments, LOCPATH=str(locales), LC_ALL="tr_TR.ISO-8859-9")
    assert ran.out == odd.files[f"report.{form}"]


@pytest.fixture(scope="module")
def odd(project: Path) -> Ran:
    """The review of the board with letters beyond ASCII, with every form of report."""
    return again(project, ("review", "hw/odd.cir", *RULED))


@pytest.mark.parametrize("what", COMMANDS)
def test_every_command_gives_the_same_bytes_twice(what: str, tmp_path: Path, locales: Path) -> None:
    """With another hash seed, time zone, cache, locale and order of files the same is printed and written."""
    lay(tmp_path / "site", {SITE: BACKWARDS})
    one = run(lay_project(tmp_path / "project"), COMMANDS[what])
    other = run(
        lay_project(tmp_path / "other" / "project", lambda names: sorted(names, reverse=True)),
        COMMANDS[what],
        PYTHONHASHSEED="77",
        TZ="EAS-14",
        XDG_CACHE_HOME=str(tmp_path / "cache"),
        LC_ALL="de_DE.UTF-8",
        LOCPATH=str(locales),
        PYTHONPATH=str(tmp_path / "site"),
    )
    assert one == other
    assert one.out or one.err


def test_no_command_is_left_out() -> None:
    """Every command that there is stands in the table above."""
    from drc.cli import COMMANDS as ALL

    assert {arguments[0] for arguments in COMMANDS.values()} == set(ALL)
