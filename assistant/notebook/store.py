"""The notebook's file: one SQLite database in the user's own folder. What was written is on the disk, or was not.

A write-ahead log with synchronous FULL: a write that returns outlives a power cut. A damaged file is set aside, what
can be read of it goes into a new one, and `set_aside` says so. Whoever reads makes no file.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from assistant.ground.folders import is_file, is_there, user_folder

FILE = "notebook.db"
VERSION = 1
"""Number of this form of the file; one of a later form is left alone."""
PATIENCE = 10.0
"""Seconds to wait for another program that is writing."""
LONGEST_GAP = 10_000
"""Rows of a damaged table that may be missing in a row before the rest is given up."""
LARGEST = 1_000_000_000
"""Bytes; a notebook of many years is a hundredth of it."""
TABLES = {
    "cars": "id TEXT PRIMARY KEY, name TEXT, file TEXT, used INTEGER",
    "talks": "id INTEGER PRIMARY KEY AUTOINCREMENT, car TEXT, name TEXT, began TEXT, ended INTEGER DEFAULT 0",
    "entries": "id INTEGER PRIMARY KEY AUTOINCREMENT, car TEXT, talk INTEGER, at TEXT, kind TEXT, text TEXT, "
    "data TEXT, gone INTEGER DEFAULT 0",
}
INDEXES = {
    "talks_of_car": "talks (car, id)",
    "entries_of_talk": "entries (talk, id)",
    "entries_of_car": "entries (car, kind, id)",
}
Values = Sequence[object]
Statement = tuple[str, Values]


@dataclass(frozen=True)
class SetAside:
    """A damaged file, where it lies now, and how many of its entries could be read."""

    place: Path
    saved: int


class Store:
    """The database of a folder, opened when it is first wanted. folder: None where nothing can be written."""

    def __init__(self, folder: Path | None) -> None:
        self.folder = folder
        self.set_aside: SetAside | None = None
        self.is_whole = True
        """Whether everything that was to be written was written."""
        self._connection: sqlite3.Connection | None = None
        self._node = 0

    @property
    def path(self) -> Path | None:
        """Where the file is, or would be."""
        return None if self.folder is None else self.folder / FILE

    def read(self, question: str, values: Values = ()) -> list[tuple[Any, ...]]:
        """Ask the database; nothing where there is none, or it cannot be read."""
        try:
            connection = self._opened(make=False)
            return [] if connection is None else connection.execute(question, values).fetchall()
        except (sqlite3.Error, OSError):
            return []

    def write(self, *statements: Statement) -> int | None:
        """Write all of it or nothing; the id of the last row once it is on the disk, None when it is not."""
        for _ in range(2):
            try:
                connection = self._opened(make=True)
                if connection is not None:
                    return _commit(connection, statements)
            except (sqlite3.OperationalError, OSError):  # a full disk must not end the talk
                break
            except sqlite3.Error:  # damaged since: opening it once more sets it aside
                self.close()
        self.is_whole = False
        return None

    def close(self) -> None:
        """Let the file go."""
        if self._connection is not None:
            with suppress(sqlite3.Error):
                self._connection.close()
            self._connection = None

    def _opened(self, *, make: bool) -> sqlite3.Connection | None:
        """Return the connection; anew where somebody put another file in the place of ours."""
        path = self.path
        if path is None or not (make or is_file(path)):
            return None
        if self._connection is not None and self._node != node_of(path):
            self.close()
        if self._connection is None:
            self._connection = self._connect(path)
            self._node = node_of(path)
        return self._connection

    def _connect(self, path: Path) -> sqlite3.Connection:
        """Open the file, one program at a time: it may have to be made, and a damaged one is set aside first."""
        path.parent.mkdir(parents=True, exist_ok=True)
        with lock(path.with_suffix(".lock")):
            try:
                return connect(path)
            except sqlite3.DatabaseError as problem:
                if isinstance(problem, sqlite3.OperationalError):  # busy, full, not to be opened: no damage
                    raise
            self.set_aside = replace_damaged(path)
            return connect(path)


def connect(path: Path) -> sqlite3.Connection:
    """Open a database of ours and look it over. Raises sqlite3.Error, DatabaseError itself where it is damaged."""
    connection = sqlite3.connect(path, timeout=PATIENCE, isolation_level=None, check_same_thread=False)
    try:
        look_over(connection)
    except BaseException:
        connection.close()
        raise
    return connection


def look_over(connection: sqlite3.Connection) -> None:
    """Make a new database ours, and find out whether an older one can be used."""
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")
    version = connection.execute("PRAGMA user_version").fetchone()[0]
    if version > VERSION:
        raise sqlite3.OperationalError("a later form of the notebook")
    if version < VERSION:
        _commit(connection, [(sql, ()) for sql in making()])
    if (found := connection.execute("PRAGMA quick_check(1)").fetchone()[0]) != "ok":
        raise sqlite3.DatabaseError(found)


def making() -> list[str]:
    """List what makes an empty file ours."""
    tables = [f"CREATE TABLE IF NOT EXISTS {name} ({columns})" for name, columns in TABLES.items()]
    indexes = [f"CREATE INDEX IF NOT EXISTS {name} ON {columns}" for name, columns in INDEXES.items()]
    return [*tables, *indexes, f"PRAGMA user_version={VERSION}"]


def _commit(connection: sqlite3.Connection, statements: Sequence[Statement]) -> int:
    connection.execute("BEGIN IMMEDIATE")
    last = 0
    try:
        for sql, values in statements:
            last = connection.execute(sql, values).lastrowid or last
        connection.execute("COMMIT")
    except BaseException:
        with suppress(sqlite3.Error):
            connection.execute("ROLLBACK")
        raise
    return last


def node_of(path: Path) -> int:
    """Return the number of the file itself: another file of the same name has another."""
    with suppress(OSError):
        return path.stat().st_ino
    return 0


def replace_damaged(path: Path) -> SetAside:
    """Lay a damaged file and its log beside, and put what can be read of it into a new one."""
    moment = f"{datetime.now().astimezone():%Y-%m-%d-%H%M%S}"
    aside, number = path.with_name(f"notebook-damaged-{moment}.db"), 2
    while is_there(aside):
        aside, number = path.with_name(f"notebook-damaged-{moment}-{number}.db"), number + 1
    for ending in ("-wal", "-shm", ""):
        with suppress(FileNotFoundError):
            Path(f"{path}{ending}").rename(f"{aside}{ending}")
    return SetAside(aside, take_over(aside, path))


def take_over(old: Path, new: Path) -> int:
    """Copy the rows of a damaged file that can be read into a new one; returns the number of entries."""
    import tempfile  # noqa: PLC0415 - not before the first prompt

    counts = {}
    with closing(connect(new)) as connection, tempfile.TemporaryDirectory(dir=new.parent) as folder:
        whole = lengthened(old, Path(folder))
        for table, columns in TABLES.items():
            rows = list(readable_rows(whole, table))
            counts[table] = len(rows)
            marks = ", ".join("?" * len(columns.split(", ")))
            _commit(connection, [(f"INSERT OR IGNORE INTO {table} VALUES ({marks})", row) for row in rows])  # noqa: S608 - our own names
    return counts["entries"]


def lengthened(path: Path, folder: Path) -> Path:
    """Copy a damaged file and its log; one that was cut short gets its length back, or no page of it is read."""
    import shutil  # noqa: PLC0415 - not before the first prompt

    copy = folder / FILE
    for ending in ("-wal", ""):
        with suppress(FileNotFoundError):
            shutil.copyfile(f"{path}{ending}", f"{copy}{ending}")
    with copy.open("r+b") as stream:
        head = stream.read(32)
        size, pages = int.from_bytes(head[16:18], "big"), int.from_bytes(head[28:32], "big")
        if copy.stat().st_size < (stated := size * pages) <= LARGEST:
            stream.truncate(stated)
    return copy


def readable_rows(path: Path, table: str) -> Iterator[tuple[Any, ...]]:
    """Read a table of a damaged file row by row, passing over what cannot be read."""
    with closing(sqlite3.connect(path, timeout=PATIENCE)) as connection:
        number = found = 0
        while number < found + LONGEST_GAP:
            number += 1
            with suppress(sqlite3.Error):
                rows = connection.execute(f"SELECT * FROM {table} WHERE rowid = ?", (number,)).fetchall()  # noqa: S608 - same
                found = number if rows else found
                yield from rows


@contextmanager
def lock(path: Path) -> Iterator[None]:
    """Hold a lock file while something is done; waits for whoever holds it."""
    with path.open("a", encoding="utf-8") as stream:
        hold(stream.fileno(), wait=True)
        yield


def hold(descriptor: int, *, wait: bool = False) -> bool:
    """Lock an open file while this program lives; the system lets go when it is killed. True when we have it."""
    try:
        import fcntl  # noqa: PLC0415 - not on Windows, where two programs at once are not told apart
    except ImportError:
        return True
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except OSError:
        return False
    return True


def own_folder() -> Path | None:
    """Return the user's own folder; None where nothing can be written."""
    return writable_folder(user_folder())


def writable_folder(folder: Path) -> Path | None:
    """Return a folder, made when needed; None where nothing can be written."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return None
    return folder if os.access(folder, os.W_OK) else None
