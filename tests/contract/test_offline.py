"""Nothing is fetched and nobody is called: every command works where every way to a network is shut."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.contract.everything import COMMANDS, SITE, lay_project, run, with_reports
from tests.contract.running import lay

CALLED = 99

REFUSE = f"""
import os, sys
REFUSED = ("socket.connect", "socket.bind", "socket.sendto", "socket.sendmsg", "socket.getaddrinfo",
           "socket.gethostbyname", "socket.gethostbyaddr", "socket.getnameinfo", "urllib.Request")
def hook(event, arguments):
    if event in REFUSED:
        os.write(2, f"called: {{event}} {{arguments}}".encode())
        os._exit({CALLED})
sys.addaudithook(hook)
"""
"""A sitecustomize under which whoever reaches for a network ends at once, with a code that cannot be caught.

The events are those that Python's own table of audit events gives for sockets and for opening a URL.
"""

CALLS = (
    "import socket; socket.create_connection(('127.0.0.1', 9), 1)",
    "import socket; socket.getaddrinfo('localhost', 80)",
    "import socket; socket.socket(type=socket.SOCK_DGRAM).sendto(b'', ('127.0.0.1', 9))",
    "import urllib.request; urllib.request.urlopen('http://127.0.0.1:9/', timeout=1)",
)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A folder for PYTHONPATH that shuts every way to a network."""
    folder = tmp_path_factory.mktemp("site")
    lay(folder, {SITE: REFUSE})
    return str(folder)


@pytest.mark.parametrize("script", CALLS)
def test_a_call_would_be_noticed(script: str, site: str) -> None:
    """The shut door is one: what does reach for a network under it ends with its code."""
    environment = os.environ | {"PYTHONPATH": site}
    done = subprocess.run(
        [sys.executable, "-c", script], env=environment, capture_output=True, timeout=60, check=False
    )
    assert done.returncode == CALLED, done.stderr


@pytest.mark.parametrize("what", COMMANDS)
def test_no_command_reaches_for_a_network(what: str, site: str, tmp_path: Path) -> None:
    """Every command, every form of report and several processes among them, does its work without a call."""
    arguments = COMMANDS[what]
    if what == "review":
        arguments = (*with_reports(arguments), "--jobs", "2")
    ran = run(lay_project(tmp_path / "project"), arguments, PYTHONPATH=site)
    assert ran.code in (0, 1, 2), ran.err
    assert b"called:" not in ran.out + ran.err
    assert ran.out
