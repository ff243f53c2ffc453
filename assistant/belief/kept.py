"""Driven cars on disk: arrays by name, keyed by what they were made of; what is wrong or old counts as missing.

A key is a digest of everything the arrays hang on, the program's physics among it, so an old file is never found. A
file that cannot be read, or that holds another key, is left aside and made again.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from functools import cache
from pathlib import Path
from zipfile import BadZipFile

import numpy as np

from assistant.physics.formulas import Array

FORMAT = 1
"""Raised when the arrays of a file mean something else than before."""
KEY = "key"
MOST_BYTES = 400_000_000
"""What a folder may take: some five cars of which every lever was asked for."""
UNREADABLE = (OSError, ValueError, KeyError, EOFError, BadZipFile, NotImplementedError, RuntimeError, MemoryError)
"""What a file that is torn, or no such file at all, may lead to."""
ROOT = Path(__file__).resolve().parent.parent


@cache
def version() -> str:
    """Digest of the code that drives the cars."""
    digest = hashlib.sha256(str(FORMAT).encode())
    for file in sorted([*(ROOT / "physics").glob("*.py"), *(ROOT / "belief").glob("*.py")]):
        digest.update(file.read_bytes())
    return digest.hexdigest()


def key_of(*content: object) -> str:
    """Digest of plain values (records, numbers, words), in their written form, and of the code."""
    text = "\n".join([version(), *map(plain, content)])
    return hashlib.sha256(text.encode()).hexdigest()


def plain(content: object) -> str:
    """Write a value so that the same value is always written alike: sets and mappings in order."""
    if isinstance(content, Mapping):
        return "{" + ",".join(sorted(f"{key!r}:{plain(value)}" for key, value in content.items())) + "}"
    if isinstance(content, set | frozenset):
        return "{" + ",".join(sorted(map(plain, content))) + "}"
    if isinstance(content, tuple | list):
        return "(" + ",".join(map(plain, content)) + ")"
    if hasattr(content, "__dataclass_fields__"):
        return type(content).__name__ + plain(vars(content))
    return repr(content)


def keep(folder: Path | None, key: str, arrays: Mapping[str, Array]) -> None:
    """Write arrays under a key; a folder that cannot be written to keeps nothing, and nobody is bothered."""
    if folder is None:
        return
    with suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=folder, suffix=".part")
        with os.fdopen(handle, "wb") as file:
            np.savez(file, allow_pickle=False, **{**arrays, KEY: np.array(key)})
        Path(name).replace(folder / f"{key}.npz")
        make_room(folder)


def make_room(folder: Path) -> None:
    """Remove the files that were written longest ago while all of them take more than `MOST_BYTES`."""
    files = sorted(((file.stat().st_mtime, file.stat().st_size, file) for file in folder.glob("*.npz")), reverse=True)
    taken = 0
    for _, size, file in files:
        taken += size
        if taken > MOST_BYTES:
            file.unlink()


def find(folder: Path | None, key: str) -> dict[str, Array] | None:
    """Read the arrays of a key; None where they are not there, cannot be read, or are others."""
    if folder is None:
        return None
    with suppress(*UNREADABLE), (folder / f"{key}.npz").open("rb") as file, np.load(file) as stored:
        arrays = {name: stored[name] for name in stored.files}
        if str(arrays.pop(KEY)) == key:
            return arrays
    return None
