"""Outcomes of many boards, kept on disk and read back one by one, so that memory does not grow with them."""

from array import array
from collections.abc import Iterator, Sequence
from tempfile import TemporaryFile, gettempdir
from typing import overload
from weakref import finalize

from drc.gate.outcome_codec import decode_outcome
from drc.gate.refusal import refused
from drc.outcome import BoardOutcome


class Spool(Sequence[BoardOutcome]):
    """A sequence of outcomes in a file without a name, which is gone with this process however it ends."""

    def __init__(self) -> None:
        try:
            self._file = TemporaryFile(prefix="tickproof-")  # noqa: SIM115  (it lives as long as the sequence)
        except OSError as error:
            message = f"could not be made: {error.strerror}: make room, or name another folder with TMPDIR"
            raise refused("temporary file", message) from None
        finalize(self, self._file.close)
        self._ends = array("Q", [0])

    def add(self, encoded: bytes) -> None:
        """Puts an outcome, as `encode_outcome` writes it, behind the others."""
        self._file.seek(self._ends[-1])
        try:
            self._file.write(encoded)
            self._file.flush()
        except OSError as error:
            raise refused(
                gettempdir(), f"could not be written to: {error.strerror}: make room there"
            ) from None
        self._ends.append(self._ends[-1] + len(encoded))

    def __len__(self) -> int:
        return len(self._ends) - 1

    @overload
    def __getitem__(self, index: int) -> BoardOutcome: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[BoardOutcome, ...]: ...
    def __getitem__(self, index: int | slice) -> BoardOutcome | tuple[BoardOutcome, ...]:
        numbers = range(len(self))[index]
        return self._read(numbers) if isinstance(numbers, int) else tuple(map(self._read, numbers))

    def __iter__(self) -> Iterator[BoardOutcome]:
        return map(self._read, range(len(self)))

    def _read(self, number: int) -> BoardOutcome:
        start, end = self._ends[number], self._ends[number + 1]
        self._file.seek(start)
        return decode_outcome(self._file.read(end - start))
