"""A file's bytes as text and back: lossless, with no newline translation."""

import codecs
from hashlib import sha256
from typing import NamedTuple

_MARKS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))


class Source(NamedTuple):
    """A decoded file: `mark` is its byte order mark, `digest` the sha256 of its bytes.

    `mark + text.encode(encoding)` gives the very same bytes back.
    """

    path: str
    text: str
    encoding: str
    mark: bytes
    digest: str


def decode(data: bytes, path: str) -> Source:
    """The text of a file: by its mark, else UTF-8, else UTF-16 by its zero bytes, else Latin-1."""
    digest = sha256(data).hexdigest()
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            text = _attempt(data[len(mark) :], encoding)
            if text is not None:
                return Source(path, text, encoding, mark, digest)
    guesses = ["utf-8"]
    if len(data) > 3 and data[1:200:2].count(0) * 2 > len(data[1:200:2]):
        guesses.insert(0, "utf-16-le")
    elif len(data) > 3 and data[0:200:2].count(0) * 2 > len(data[0:200:2]):
        guesses.insert(0, "utf-16-be")
    for encoding in guesses:
        text = _attempt(data, encoding)
        if text is not None:
            return Source(path, text, encoding, b"", digest)
    return Source(path, data.decode("latin-1"), "latin-1", b"", digest)


def _attempt(data: bytes, encoding: str) -> str | None:
    """The text, or None where the bytes are not of that encoding or would not come back the same."""
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        return None
    if encoding != "utf-8" and text.encode(encoding, "surrogatepass") != data:
        return None
    return text
