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
from dataclasses import fields
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, cast
from zipfile import BadZipFile

import numpy as np

from assistant.belief.driven import Course, Driven, Effect, quantity_names
from assistant.belief.plausible import Cars
from assistant.physics.car_and_driver import Phases
from assistant.physics.cornering import Near
from assistant.physics.driven_run import Beginning
from assistant.physics.formulas import Array
from assistant.physics.heat_and_wear import Moments
from assistant.physics.lap import Lap
from assistant.physics.line import CornerLine, Motion

Part = TypeVar("Part")

FORMAT = 1
"""Raised when the arrays of a file mean something else than before."""
KEY = "key"
MOST_BYTES = 400_000_000
"""What a folder may take: some five cars of which every lever was asked for."""
UNREADABLE = (OSError, ValueError, KeyError, EOFError, BadZipFile, NotImplementedError, RuntimeError, MemoryError)
"""What a file that is torn, or no such file at all, may lead to."""
DRIVEN = ("knots", "values", "slopes", "usable", "at_once")
"""What is kept of what was read of a batch."""
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
    if isinstance(content, np.ndarray):
        return f"{content.shape}{hashlib.sha256(content.tobytes()).hexdigest()}"
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


def make_room(folder: Path) -> None:
    """Remove the files that were written longest ago while all of them take more than `MOST_BYTES`.

    A folder that is only linked to is somebody else's to keep small.
    """
    taken = 0
    if folder.is_symlink():
        return
    with suppress(OSError):
        found = [(path.stat(), path) for path in folder.glob("*.npz")]
        for about, path in sorted(found, key=lambda one: one[0].st_mtime, reverse=True):
            taken += about.st_size
            if taken > MOST_BYTES:
                path.unlink()


def find(folder: Path | None, key: str) -> dict[str, Array] | None:
    """Read the arrays of a key; None where they are not there, cannot be read, or are others."""
    if folder is None:
        return None
    with suppress(*UNREADABLE), (folder / f"{key}.npz").open("rb") as file, np.load(file) as stored:
        arrays = {name: stored[name] for name in stored.files}
        if str(arrays.pop(KEY)) == key:
            return arrays
    return None


def pack_driven(driven: Driven) -> dict[str, Array]:
    """Lay what was read of a batch out as plain arrays."""
    return {name: np.asarray(getattr(driven, name), dtype=float) for name in DRIVEN}


def unpack_driven(arrays: Mapping[str, Array], course: Course) -> Driven | None:
    """Take what was read of a batch from plain arrays; None where some are missing."""
    if arrays.keys() != set(DRIVEN):
        return None
    return Driven(
        **{**arrays, "usable": arrays["usable"].astype(bool)}, names=quantity_names(course.ends), left=course.left
    )


def pack_moved(effect: Effect) -> dict[str, Array]:
    """Lay what a change does to the cars that were driven with it out as plain arrays."""
    return {
        "once": effect.at_once[..., effect.moved],
        "after": effect.after[..., effect.moved],
        "moved": effect.moved.astype(float),
    }


def unpack_moved(arrays: Mapping[str, Array], nothing: Effect) -> Effect:
    """Put what is kept of a change into an effect that has no numbers yet."""
    if arrays.keys() != {"once", "after", "moved"}:
        return nothing
    return nothing.put(arrays["once"], arrays["after"], np.flatnonzero(arrays["moved"]))


def pack_cars(cars: Cars, rest: Beginning) -> dict[str, Array]:
    """Lay a batch of cars and their run out as few arrays: many small ones take long to read."""
    names = sorted(cars.numbers)
    numbers = np.stack([np.broadcast_to(cars.numbers[name], cars.count) for name in names])
    own = {"names": np.array(names), "numbers": numbers, "off": cars.off, "scatter": cars.scatter}
    return {**own, **lay_flat(cars.phases, "phases"), **lay_flat(rest, "rest")}


def lay_flat(part: Any, name: str) -> dict[str, Array]:
    """Name every array of a record by its way there."""
    if isinstance(part, tuple):
        return {key: one for at, each in enumerate(part) for key, one in lay_flat(each, f"{name} {at}").items()}
    if hasattr(part, "__dataclass_fields__"):
        each = [lay_flat(getattr(part, one.name), f"{name} {one.name}") for one in fields(part)]
        return {key: value for one in each for key, value in one.items()}
    return {name: np.asarray(part)}


def unpack_cars(arrays: Mapping[str, Array]) -> tuple[Cars, Beginning] | None:
    """Take a batch of cars and their run from plain arrays; None where some are missing."""

    def of(kind: type[Part], name: str, **other: Any) -> Part:
        own = {one.name: arrays[f"{name} {one.name}"] for one in fields(cast("Any", kind)) if one.name not in other}
        return kind(**own, **other)

    try:
        numbers = dict(zip(arrays["names"].tolist(), arrays["numbers"], strict=True))
        cars = Cars(numbers, of(Phases, "phases"), arrays["off"], arrays["scatter"])
        line, cold = of(CornerLine, "rest moments line"), float(arrays["rest moments cold"])
        moments = of(Moments, "rest moments", line=line, cold=cold)
        peaks = (arrays["rest near peaks 0"], arrays["rest near peaks 1"])
        lap = of(Lap, "rest lap", driven=of(Motion, "rest lap driven"))
        return cars, Beginning(moments, of(Near, "rest near", peaks=peaks), lap)
    except KeyError:
        return None
