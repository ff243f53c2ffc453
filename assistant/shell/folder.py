"""Where the conversation keeps things in the user's own folder: talks, copies of setups, history."""

from __future__ import annotations

import os
from pathlib import Path

from assistant.folders import user_folder


def writable_folder(name: str = "") -> Path | None:
    """Return the user's folder, or one inside it, made when needed; None where nothing can be written."""
    folder = user_folder() / name if name else user_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return None
    return folder if os.access(folder, os.W_OK) else None
