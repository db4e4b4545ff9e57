"""tickproof: proves the timing functions of a board from its netlist, before layout and at every commit.

The public face is `read`, `review` and `inventory`, and the types they return. They are loaded when they
are first asked for, so that the command starts fast.
"""

from typing import TYPE_CHECKING

from drc.version import __version__

if TYPE_CHECKING:
    from drc.gate.face import inventory as inventory
    from drc.gate.face import read as read
    from drc.gate.face import review as review

__all__ = ["__version__", "inventory", "read", "review"]


def __getattr__(name: str) -> object:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from drc.gate import face  # see above

    return getattr(face, name)
