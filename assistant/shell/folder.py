"""Where the conversation keeps things in the user's own folder: talks, copies of setups, history."""

from __future__ import annotations

import json
import os
from contextlib import suppress
from pathlib import Path

from assistant.ground.folders import is_file, user_folder, write_whole


def writable_folder(name: str = "") -> Path | None:
    """Return the user's folder, or one inside it, made when needed; None where nothing can be written."""
    folder = user_folder() / name if name else user_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return None
    return folder if os.access(folder, os.W_OK) else None


LAST_CAR = "last-car.json"


def remember_car(name: str, case: Path) -> None:
    """Keep which car of one's own was used last; silent where nothing can be written."""
    folder = writable_folder()
    if folder is not None:
        with suppress(OSError):
            write_whole(folder / LAST_CAR, json.dumps({"name": name, "case": str(case.resolve())}) + "\n")


def last_car() -> tuple[str, Path] | None:
    """Return name and case file of the car used last; None where there is none, or its file is gone."""
    with suppress(OSError, ValueError, KeyError, TypeError):
        kept = json.loads((user_folder() / LAST_CAR).read_text(encoding="utf-8"))
        name, case = str(kept["name"]), Path(kept["case"])
        return (name, case) if is_file(case) else None
    return None
