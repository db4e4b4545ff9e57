"""tickproof: proves the timing functions of a board from its netlist, before layout and at every commit.

The public face is `read`, `review` and `inventory`, and the types they return.
"""

__version__ = "0.1.0"
