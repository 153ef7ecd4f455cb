"""Files that are written whole or not at all, and the notes in pictures of our own."""

import os
import secrets
import struct
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from render.errors import OutputError

PNG_SIGNATURE = b"\x89PNG\r\n\x1a\n"
SOFTWARE = "laceproof"
# How every list of threads begins.
LISTING_HEAD = '{"unit": "mm", "threads": ['
# A note longer than this is none of ours.
_LONGEST_NOTE = 10_000


@contextmanager
def whole_file(path: str | Path) -> Iterator[BinaryIO]:
    """Open a file that appears under its name once it is complete.

    Parameters
    ----------
    path
        The file; an older one of that name is replaced. Whatever fails leaves nothing behind.

    Raises
    ------
    OutputError
        If the file cannot be written.
    """
    path = Path(path)
    if path.exists() and not path.is_file():
        raise OutputError(f"{path} cannot be written: it is not an ordinary file")
    # Named before it is there, so that an interruption at any moment finds what to take away.
    unfinished = path.with_name(f".{path.name[:40]}.{secrets.token_hex(8)}")
    try:
        with unfinished.open("xb") as file:
            yield file
        os.replace(unfinished, path)
    except OSError as error:
        raise OutputError(f"{path} cannot be written: {error.strerror}") from error
    finally:
        with suppress(OSError):  # it was renamed, or never came to be
            unfinished.unlink()


def write_text(path: str | Path, parts: Iterable[str]) -> None:
    """Write text as UTF-8, piece by piece, whole or not at all."""
    with whole_file(path) as file:
        for part in parts:
            file.write(part.encode("utf-8"))


def refuse_to_replace(target: Path, source: Path) -> None:
    """Let nothing take the place of a pattern or of a file that somebody else made.

    Parameters
    ----------
    target
        Where a picture or a list of threads is about to be written.
    source
        The pattern it is made from.

    Raises
    ------
    OutputError
        Where the target is there and was not made by this program.
    """
    if not target.exists():
        return
    if source.exists() and target.samefile(source):
        raise OutputError(f"{target} is the pattern itself: choose another name with -o")
    if not (target.is_file() and is_our_own(target)):
        raise OutputError(
            f"{target} is there already and was not made by {SOFTWARE}: "
            "choose another name with -o, or move it away"
        )


def is_our_own(path: Path) -> bool:
    """Tell whether a file is a picture or a list of threads that this program wrote."""
    with path.open("rb") as file:
        if file.read(len(LISTING_HEAD)) == LISTING_HEAD.encode():
            return True
        file.seek(0)
        if any(SOFTWARE.encode() in note for note in _webp_notes(file)):
            return True
        file.seek(0)
        return any(
            note.startswith(b"Software\0") and SOFTWARE.encode() in note for note in _notes(file)
        )


def _notes(file: BinaryIO) -> Iterator[bytes]:
    """Yield the text chunks that come before the pixels of a PNG."""
    if file.read(8) != PNG_SIGNATURE:
        return
    while len(head := file.read(8)) == 8:
        length, kind = struct.unpack(">I4s", head)
        if kind in (b"IDAT", b"IEND"):
            return
        if kind in (b"iTXt", b"tEXt") and length <= _LONGEST_NOTE:
            yield file.read(length)
            file.seek(4, os.SEEK_CUR)
        else:
            file.seek(length + 4, os.SEEK_CUR)


def _webp_notes(file: BinaryIO) -> Iterator[bytes]:
    """Yield the EXIF notes of a WebP picture (its container: RFC 9649, section 2)."""
    head = file.read(12)
    if head[:4] != b"RIFF" or head[8:] != b"WEBP":
        return
    while len(head := file.read(8)) == 8:
        kind, length = struct.unpack("<4sI", head)
        padded = length + length % 2
        if kind == b"EXIF" and length <= _LONGEST_NOTE:
            yield file.read(padded)
        else:
            file.seek(padded, os.SEEK_CUR)
