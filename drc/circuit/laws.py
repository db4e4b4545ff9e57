"""Timing laws as plain array functions, usable without a circuit."""
