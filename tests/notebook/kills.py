"""Kill programs that write the notebook, many times, and count what was lost: python -m tests.notebook.kills [TIMES].

With the word talk before the number it is the program itself that is killed, see `tests.notebook.killed_talks`.

Each writer says the number of an entry only after the notebook has said that it is kept. Two write at once; both are
killed with -9 at a moment drawn at random. Lost is an entry that was said and is not there.
"""

import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from assistant.notebook.book import SAID, Notebook
from tests.notebook import killed_talks

ROOT = Path(__file__).parents[2]
LONGEST = 0.05
"""Seconds a writer may live after its first word."""
SHARED = 20
"""Kills that go into one notebook."""


def write_on(folder: Path, who: str) -> None:
    """Write entries until somebody kills us."""
    book, number = Notebook(folder), 0
    while True:
        number += 1
        if book.add("demo", 1, SAID, f"{who} {number}", {"setup": {"stagger": number}}) is None:
            sys.exit("not kept")
        print(number, flush=True)


def start(folder: Path, who: str) -> "subprocess.Popen[str]":
    """Start a writer."""
    words = [sys.executable, "-m", "tests.notebook.kills", "write", str(folder), who]
    return subprocess.Popen(words, cwd=ROOT, stdout=subprocess.PIPE, text=True)


def kill_two(folder: Path, names: tuple[str, str], draw: random.Random) -> dict[str, int]:
    """Let two write at once, kill both; the last number each of them said."""
    children = {who: start(folder, who) for who in names}
    first = {who: child.stdout.readline() for who, child in children.items()}
    time.sleep(draw.uniform(0.0, LONGEST))
    for child in children.values():
        child.kill()
    said = {who: first[who] + child.communicate()[0] for who, child in children.items()}
    return {who: max((int(row) for row in text.split("\n")[:-1] if row), default=0) for who, text in said.items()}


def count_lost(times: int, folder: Path, seed: int = 1) -> tuple[int, int, int]:
    """Kill so many times; entries that were said, those lost of them, and files found damaged."""
    draw, said, lost, damaged = random.Random(seed), 0, 0, 0  # noqa: S311 - moments, no secret
    for turn in range(times):
        home = folder / str(turn // SHARED)
        last = kill_two(home, (f"a{turn}", f"b{turn}"), draw)
        book = Notebook(home)
        for who, number in last.items():
            found = {one.text for one in book.entries(words=f"{who} ")}
            missing = [one for one in range(1, number + 1) if f"{who} {one}" not in found]
            said, lost = said + number, lost + len(missing)
        damaged += book.set_aside is not None
        book.store.close()
    return said, lost, damaged


def main(words: list[str]) -> int:
    """Kill, and say what was lost."""
    if words[:1] == ["write"]:
        write_on(Path(words[1]), words[2])
    if words[:1] == ["talk"]:
        return killed_talks.main(words[1:])
    times = int(words[0]) if words else 200
    with tempfile.TemporaryDirectory() as folder:
        said, lost, damaged = count_lost(times, Path(folder))
    print(f"{times} times two writers killed: {said} entries said to be kept, {lost} lost, {damaged} files damaged")
    return int(bool(lost or damaged))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
