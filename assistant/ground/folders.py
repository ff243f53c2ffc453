"""Where files are: the knowledge that came with the program, and the user's own folder.

Nothing is created here; whoever writes a file makes its folder.
"""

from __future__ import annotations

import errno
import os
import re
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path


def knowledge_folder() -> Path:
    """Folder of the packs and the demo: inside an installed package, else beside it in a source tree."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "knowledge"
    return inside if inside.is_dir() else package.parent / "knowledge"


def doc_pages() -> dict[str, Path]:
    """Return the pages of the documentation by name: beside the installed package, or in the repository."""
    package = Path(__file__).resolve().parents[1]
    folders = [folder for folder in (package / "docs", package.parent / "docs") if folder.is_dir()]
    return {page.stem: page for page in sorted(folders[0].glob("*.md"))} if folders else {}


DEMO_CASES = ("demo", "demo-tight", "demo-snap")
"""Names of the cases that came with the program."""


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
        return _expanded(chosen)
    if platform == "win32":
        base = env.get("LOCALAPPDATA") or str(_expanded("~") / "AppData" / "Local")
    elif platform == "darwin":
        base = str(_expanded("~") / "Library" / "Application Support")
    else:
        stated = env.get("XDG_DATA_HOME", "")
        base = stated if stated.startswith("/") else str(_expanded("~") / ".local" / "share")
    return Path(base) / "halfturn"


def _expanded(path: str) -> Path:
    """Path with ~ replaced; where nobody knows whose home that is, one that nothing can be written to."""
    try:
        return Path(path).expanduser()
    except RuntimeError:
        return Path(os.devnull) / "halfturn"


CASE_FILE = "case.yaml"
"""Case file in the folder of a car."""


def own_cars() -> dict[str, Path]:
    """Find the cars in the user's folder: name of the car's folder to its case file."""
    folder = user_folder()
    files = sorted(folder.glob(f"*/{CASE_FILE}")) if is_folder(folder) else []
    return {file.parent.name: file for file in files}


def slug(name: str) -> str:
    """Write a name as its folder is called: "Car 7" is car-7."""
    return re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")


def is_file(path: str | Path) -> bool:
    """Whether an ordinary file stands there; no also for a name no system takes and for a folder one may not look into.

    (`Path.is_file` raises OSError for both.)
    """
    return os.path.isfile(path)  # noqa: PTH113 - this one swallows OSError and ValueError


def is_folder(path: str | Path) -> bool:
    """Whether a folder stands there; no also where that cannot be found out."""
    return os.path.isdir(path)  # noqa: PTH112 - same


def is_there(path: str | Path) -> bool:
    """Whether anything stands there; no also where that cannot be found out."""
    return os.path.exists(path)  # noqa: PTH110 - same


def write_whole(path: Path, text: str, *, over: bool = True) -> None:
    """Write a file so that it is the old one or the new one, never half of it, also on a full disk.

    over: replace what is there; else FileExistsError. Raises OSError when it cannot be written; nothing is left then.
    """
    if not over and os.path.lexists(path):
        raise FileExistsError(str(path))
    if is_there(path) and not is_file(path):  # a device or a pipe: nothing to keep whole, and never to be replaced
        path.write_text(text, encoding="utf-8", newline="\n")
        return
    path = path.resolve() if path.is_symlink() else path
    with _trial(path, text) as trial:
        if not over:
            path.touch(exist_ok=False)  # ours from here on, also where two programs write at once
        try:
            trial.replace(path)
        except BaseException:
            if not over:
                _remove(path)
            raise


@contextmanager
def _trial(path: Path, text: str) -> Iterator[Path]:
    """Write a text into a new file beside another, under a name nobody has; never through a link. Raises OSError.

    The file is gone afterward, unless it was put in the place of the other one.
    """
    trial = path.with_name(f".{path.name[:200]}.{os.urandom(6).hex()}.new")
    try:
        with trial.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        yield trial
    finally:
        _remove(trial)


def _remove(path: Path) -> None:
    with suppress(OSError):
        path.unlink(missing_ok=True)


def write_all(texts: Mapping[Path, str], *, over: bool = True) -> None:
    """Write files that belong together; when one cannot be written, those that were not there before are taken back."""
    made = [path for path in texts if not os.path.lexists(path)]
    try:
        for path, text in texts.items():
            write_whole(path, text, over=over)
    except OSError:
        for path in made:
            _remove(path)
        raise


_ANY_WRITE = 0o222


class ChangedMeanwhileError(Exception):
    """Somebody else wrote the file since it was read."""


def read_exactly(path: Path) -> str:
    """Read a text with the line ends it has. Raises OSError, and UnicodeDecodeError for what is not UTF-8."""
    return path.read_bytes().decode("utf-8")


def replace_own(path: Path, seen: str, text: str, is_right: Callable[[Path], bool]) -> bool:
    """Put a new text in the place of the file, once `is_right` has read it back from a trial beside it; False when not.

    seen: the text it was made from. Raises ChangedMeanwhileError when the file holds another by now, OSError when it
    cannot be written to; the file is as it was then.
    """
    path = path.resolve()
    if not os.access(path, os.F_OK):
        raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT))
    if not os.access(path, os.W_OK) or not path.stat().st_mode & _ANY_WRITE:  # who is root may write anything
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    import shutil  # noqa: PLC0415 - not before the first prompt

    with _trial(path, text) as trial:
        shutil.copymode(path, trial)
        if not is_right(trial):
            return False
        if read_exactly(path) != seen:
            raise ChangedMeanwhileError
        trial.replace(path)
    return True
