"""What no stage raises on purpose is a bug of ours: told in one line, never as a traceback."""

from pathlib import Path
from types import FrameType, TracebackType
from typing import NoReturn

from drc.trouble import TickproofError
from drc.version import __version__

STOPPED: list[int] = []
"""The interrupts that have come: what they cut short, a library's start for one, may end in any error."""


def stop(number: int, _: FrameType | None) -> NoReturn:
    """What an interrupt does: it is noted, and ends the run as Python's own handler would."""
    STOPPED.append(number)
    raise KeyboardInterrupt


class Guard:
    """A context that stops what would end in a traceback; `bug` is then one line about it.

    Errors that are raised on purpose, a closed pipe, an interrupt and an exit pass through.
    """

    def __init__(self) -> None:
        self.bug: str | None = None

    def __enter__(self) -> "Guard":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> bool:
        if not isinstance(error, Exception) or isinstance(error, TickproofError | BrokenPipeError):
            return False
        if STOPPED:
            raise KeyboardInterrupt from None
        self.bug = _told(error, trace)
        return True


def _told(error: Exception, trace: TracebackType | None) -> str:
    """The error, where it came up, and what to do, on one line."""
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    where = "somewhere"
    if trace is not None:
        file = Path(trace.tb_frame.f_code.co_filename)
        where = f"{file.parent.name}/{file.name}:{trace.tb_lineno}"
    text = " ".join(str(error).split())[:160]
    return (
        f"this is a bug in tickproof: {type(error).__name__} {text!r} at {where}, version {__version__}; "
        "please send this line, with the board if you may, to whoever maintains your copy"
    )
