"""A file of the user's own, edited: read letter by letter, tried beside itself, put in its place whole or not at all.

Its line ends, its rights and a link that leads to it stay; a file that its owner made read-only is left alone.
"""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from assistant.ground.folders import write_trial, write_whole

_ANY_WRITE = 0o222


class ChangedMeanwhileError(Exception):
    """Somebody else wrote the file since it was read."""


def read_exactly(path: Path) -> str:
    """Read a text with the line ends it has. Raises OSError, and UnicodeDecodeError for what is not UTF-8."""
    return path.read_bytes().decode("utf-8")


def replace_own(
    path: Path, seen: str, text: str, is_right: Callable[[Path], bool], *, old_as: Path | None = None
) -> bool:
    """Put a new text in the place of the file, once `is_right` has read it back from a trial beside it; False when not.

    seen: the text it was made from. old_as: where to keep that one, never over a file that is there. Raises
    ChangedMeanwhileError when the file holds another by now, OSError when it cannot be written to; the file is as it
    was then.
    """
    path = path.resolve()
    if not os.access(path, os.F_OK):
        raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT))
    if not os.access(path, os.W_OK) or not path.stat().st_mode & _ANY_WRITE:  # who is root may write anything
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    trial = write_trial(path, text)
    try:
        shutil.copymode(path, trial)
        if not is_right(trial):
            return False
        if read_exactly(path) != seen:
            raise ChangedMeanwhileError
        if old_as is not None:
            write_whole(old_as, seen, over=False)
        trial.replace(path)
    finally:
        with suppress(OSError):
            trial.unlink(missing_ok=True)
    return True
