"""A run's project opened in a process that stands elsewhere: one that was not forked, or on a cluster."""

import os
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from drc.gate.project import Project, Request, open_project
from drc.gate.refusal import refused
from drc.version import __version__


class Away(NamedTuple):
    """What such a process needs of a run. Every path is absolute."""

    version: str
    root: str
    request: Request


def away(project: Project, request: Request) -> Away:
    """The run as other processes see it; its boards are named one by one later on."""

    def whole(path: str | Path | None) -> str | None:
        return None if path is None else os.path.abspath(path)

    settings = next((str(project.root / s.path) for s in project.inputs if s.kind == "settings"), None)
    moved = request._replace(
        paths=(str(project.root),),
        touched=None,
        intent=whole(request.intent),
        parts=tuple(os.path.abspath(path) for path in request.parts),
        rules=tuple(os.path.abspath(path) for path in request.rules),
        settings=settings,
        bom=whole(request.bom),
        stock=whole(request.stock),
        known=None,
        taking=None,
    )
    return Away(__version__, str(project.root), moved)


@lru_cache(maxsize=4)
def opened(run: Away) -> Project:
    """The project of such a run, opened once. InputError where it cannot be, or the version is another."""
    if run.version != __version__:
        message = f"a worker has version {__version__} and this is {run.version}: install the same on both"
        raise refused("--engine", message)
    return open_project(run.request, ())._replace(root=Path(run.root))
