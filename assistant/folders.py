"""Where files are: the knowledge that came with the program, and the user's own folder.

Nothing is created here; whoever writes a file makes its folder.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path


def knowledge_folder() -> Path:
    """Folder of the packs and the demo: inside an installed package, else beside it in a source tree."""
    package = Path(__file__).resolve().parent
    inside = package / "knowledge"
    return inside if inside.is_dir() else package.parent / "knowledge"


def demo_folder() -> Path:
    """Folder of the invented car, its tracks and its cases."""
    return knowledge_folder() / "demo"


def user_folder(environ: Mapping[str, str] | None = None, platform: str = sys.platform) -> Path:
    """Folder of the user's own cars, cases and packs; it may not exist yet.

    HALFTURN_FOLDER when set, else where the platform keeps a user's data (XDG Base Directory Specification 0.8,
    which tells to ignore a relative path; Application Support on macOS; %LOCALAPPDATA% on Windows).
    """
    env = os.environ if environ is None else environ
    if chosen := env.get("HALFTURN_FOLDER"):
        return Path(chosen).expanduser()
    if platform == "win32":
        base = env.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    elif platform == "darwin":
        base = str(Path.home() / "Library" / "Application Support")
    else:
        stated = env.get("XDG_DATA_HOME", "")
        base = stated if stated.startswith("/") else str(Path.home() / ".local" / "share")
    return Path(base) / "halfturn"
