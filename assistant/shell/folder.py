"""The user's own folder: copies of setups, what was typed, the history of the prompt. Nothing else is ever written."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path


def own_folder(environ: Mapping[str, str] | None = None, platform: str = sys.platform) -> Path:
    """Return the folder (it may not exist yet): HALFTURN_FOLDER, else where the system keeps a user's data."""
    env = os.environ if environ is None else environ
    if chosen := env.get("HALFTURN_FOLDER"):
        return Path(chosen)
    if platform == "win32":
        base = env.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    elif platform == "darwin":
        base = str(Path.home() / "Library" / "Application Support")
    else:
        base = env.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "halfturn"


def writable_folder(name: str = "") -> Path | None:
    """Return the folder, or one inside it, made when needed; None where nothing can be written."""
    folder = own_folder() / name if name else own_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return None
    return folder if os.access(folder, os.W_OK) else None
