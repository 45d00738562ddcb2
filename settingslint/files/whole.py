"""Putting a text file in place as a whole: whoever is cut off, or finds the disk full, leaves what was there."""

from __future__ import annotations

import os
import shutil
from contextlib import suppress
from pathlib import Path


def put(path: Path, text: str) -> None:
    """Write a file beside its place and move it there once it is whole; a link is followed, the rights stay.

    Raises:
        OSError: where it can't be written; what was there before is there still.
    """
    path = path.resolve()
    if path.exists() and not os.access(path, os.W_OK):
        raise PermissionError(13, "Permission denied", str(path))
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        with beside.open("w", encoding="utf-8", newline="") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        if path.exists():
            shutil.copymode(path, beside)
        os.replace(beside, path)
    except BaseException as error:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
        if isinstance(error, OSError):
            raise OSError(error.errno, error.strerror, str(path)) from None
        raise


def put_new(path: Path, text: str) -> None:
    """Write a file that is not there yet.

    Raises:
        OSError: where it can't be written, or something has its name; there is nothing new then.
    """
    if os.path.lexists(path):
        raise FileExistsError(17, "File exists", str(path))
    put(path, text)
