"""Compare what a user meets with what was recorded: python -m tests.golden [--accept] [--only NAME]."""

import argparse
import multiprocessing
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

from tests.golden.compare import differences
from tests.golden.plan import Piece, pieces
from tests.golden.record import make

RECORD = Path(__file__).parent / "record"
PROCESSES = 2
MOST = 12
"""Rows shown of one file."""


def main(argv: Sequence[str] | None = None, folder: Path = RECORD) -> int:
    """Compare with the record, or write it anew; the code is 1 when something is different."""
    parser = argparse.ArgumentParser(prog="python -m tests.golden", description=__doc__)
    parser.add_argument("--accept", action="store_true", help="write what is said now as the record")
    parser.add_argument(
        "--only", default="", metavar="NAME", help="pieces with this in their name, such as talk. or demo"
    )
    options = parser.parse_args(argv)
    chosen = {name: piece for name, piece in pieces().items() if options.only in name}
    old = {path.stem: path.read_text(encoding="utf-8") for path in folder.glob("*.txt") if options.only in path.stem}
    new = dict(zip(chosen, make_all(list(chosen.values())), strict=True))
    if options.accept:
        accept(folder, old, new)
        return 0
    found = [show(name, old.get(name, ""), new.get(name, "")) for name in sorted(old | new)]
    print(f"{sum(found)} of {len(found)} are different" if any(found) else f"all {len(found)} as recorded")
    return int(any(found) or not found)


def make_all(chosen: Sequence[Piece]) -> Iterable[str]:
    """Make the records, side by side when there are several."""
    if len(chosen) < 2:
        return map(make, chosen)
    with multiprocessing.get_context("spawn").Pool(PROCESSES) as pool:
        return pool.map(make, chosen, chunksize=1)


def accept(folder: Path, old: Iterable[str], new: dict[str, str]) -> None:
    """Write the record anew; what is no longer made goes."""
    folder.mkdir(exist_ok=True)
    for name in old:
        (folder / f"{name}.txt").unlink()
    for name, text in new.items():
        (folder / f"{name}.txt").write_text(text, encoding="utf-8", newline="\n")


def show(name: str, old: str, new: str) -> bool:
    """Show what is different in one file, and say whether anything is."""
    rows = differences(old, new)
    if not rows:
        return False
    print(f"{name}:", *(f"  {row}" for row in rows[:MOST]), sep="\n")
    if len(rows) > MOST:
        print(f"  and {len(rows) - MOST} more rows")
    return True


if __name__ == "__main__":
    sys.exit(main())
