"""Named inputs: their bytes, and how one that is of no use is refused."""

from collections.abc import Callable
from pathlib import Path

from drc.trouble import InputError, Place, Trouble


def refused(path: str, message: str) -> InputError:
    """The error for a named path that is of no use."""
    return InputError(Trouble("path", "error", Place(path), message))


def named_bytes(path: Path, read: Callable[[Path], bytes]) -> bytes:
    """The bytes of a named input. InputError where it cannot be read."""
    try:
        return read(path)
    except OSError as error:
        raise refused(str(path), f"cannot be read: {error.strerror}") from None
