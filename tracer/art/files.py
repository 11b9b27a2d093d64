"""The file that a picture is in: opened once, or a sentence that says why not."""

import hashlib
import io
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from tracer.art.admit import LARGEST_FILE
from tracer.errors import ArtError


@contextmanager
def opened(path: Path) -> Iterator[BinaryIO]:
    """Open a file that can be read from anywhere in it.

    Raises
    ------
    ArtError
        Where there is no such file, or it cannot be read, or holds nothing or too much.
    """
    try:
        file = path.open("rb")
    except FileNotFoundError:
        raise ArtError(f"There is no file {path}: check the name and the folder.") from None
    except OSError as error:
        if isinstance(error, IsADirectoryError) or os.path.isdir(path):  # noqa: PTH112 - Path.is_dir may raise
            raise ArtError(f"{path} is a folder: name the picture in it.") from None
        raise ArtError(f"{path} cannot be read: {error.strerror or error}.") from None
    except ValueError as error:  # a name with a zero byte in it
        raise ArtError(f"{str(path)!r} cannot be the name of a file: {error}.") from None
    with file:
        yield _seekable(file, path)


def digest(file: BinaryIO) -> str:
    """Return SHA-256 of the whole file in hexadecimal digits; the file is left at its beginning."""
    file.seek(0)
    found = hashlib.sha256()
    while piece := file.read(1 << 20):
        found.update(piece)
    file.seek(0)
    return found.hexdigest()


def _seekable(file: BinaryIO, path: Path) -> BinaryIO:
    """Return the file itself, or what came through a pipe, where it is not empty and not too large."""
    mode = os.fstat(file.fileno())
    if stat.S_ISCHR(mode.st_mode) or stat.S_ISBLK(mode.st_mode):
        raise ArtError(f"{path} is a device, not a file: name a picture.")
    size = mode.st_size
    if not stat.S_ISREG(mode.st_mode):
        data = file.read(LARGEST_FILE + 1)
        file, size = io.BytesIO(data), len(data)
    if size == 0:
        raise ArtError(f"{path} is empty (0 bytes): save or copy the picture again.")
    if size > LARGEST_FILE:
        raise ArtError(
            f"{path} holds {size / 1e9:.1f} GB, up to {LARGEST_FILE / 1e9:.1f} are read: "
            "save it as PNG, in grey at 300 dpi."
        )
    return file
