"""Run the commands of a piece in this Python, as the command line would, and write down what they say."""

import contextlib
import io
import json
import os
import re
import shlex
import shutil
import tempfile
import threading
from pathlib import Path
from unittest.mock import patch

import tests.conftest  # noqa: F401 - the base pack is then read once
from assistant.cli import main
from assistant.ground.problems import shown
from assistant.pages import terminal
from assistant.shell.bench import Bench
from tests.golden.plan import DRIVER_SAYS, READINGS, RENAMED, Piece
from tests.readme_sample import PASSING

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "knowledge" / "demo"
DATE = re.compile(r"\b20\d\d-\d\d-\d\d(-\d{6})?\b")
DRAWN = re.compile(r"\bcar-[0-9a-f]{8}\b")
"""The id that a car described here was given at random."""
SURROUNDINGS = {"HALFTURN_FOLDER": "own", "TERM": "dumb", "NO_COLOR": "1", "ACCESSIBLE": ""}
NOT_AHEAD = patch.object(Bench, "drive_ahead", lambda *_: None)
"""What is driven behind the prompt before it is asked for changes no word, and would be waited for."""
NO_PLACE = patch.object(terminal, "shown", lambda text: shown(text.replace(str(ROOT), "ROOT")))
"""A screen breaks its lines by the length of a path, which is another in every checkout."""
SHORT = "/tmp"
"""Where the folder is made, for the same reason."""
WIDEST = 118


def make(piece: Piece) -> str:
    """Run a piece in a folder of its own, and return its record: a heading and the output of every command."""
    with (
        tempfile.TemporaryDirectory(dir=SHORT) as place,
        contextlib.chdir(place),
        patch.dict(os.environ, SURROUNDINGS),
        NOT_AHEAD,
        NO_PLACE,
    ):
        shutil.copytree(DEMO, place, dirs_exist_ok=True)
        Path("told.yaml").write_text(told(piece), encoding="utf-8")
        there = set(Path().rglob("*"))
        parts = [part for words in piece.runs() for part in run(words, piece.typed)]
        parts += [f"=== file {path}\n{path.read_text(encoding='utf-8')}" for path in written(there)]
    made = DRAWN.sub("car-ID", "".join(parts))
    return DATE.sub("DAY", made.replace(os.path.realpath(place), "HERE").replace(str(ROOT), "ROOT"))


def told(piece: Piece) -> str:
    """Return the case with the complaint of the piece and readings."""
    text = (DEMO / f"{piece.case}.yaml").read_text(encoding="utf-8")
    begin, key, after = text.partition(f"{DRIVER_SAYS}: ")
    assert key, f"{piece.case} has no line {DRIVER_SAYS!r}"
    says, end, rest = after.partition("\n")
    return f"{begin}{key}{json.dumps(piece.says) if piece.says else says}{end}{rest}{READINGS}"


def written(there: set[Path]) -> list[Path]:
    """Return the files for people that were made meanwhile."""
    return sorted(path for path in Path().rglob("*") if path not in there and path.suffix in {".yaml", ".md", ".html"})


def run(words: list[str], typed: str) -> list[str]:
    """Run one command, wait for all it began, and return what it said and what it complained of."""
    said, complained = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n") for _ in range(2))
    lines = io.StringIO(typed.replace("|", "\n") + "\n")
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(complained), patch("sys.stdin", lines):
        code = main([RENAMED.get(words[0], words[0]), *words[1:]])
    for thread in threading.enumerate():
        if thread is not threading.current_thread():
            thread.join(60)
    heading = f"=== {shlex.join(words)}"
    shown, errors = (text_of(stream) for stream in (said, complained))
    return [f"{heading}\n=> {code}\n{shown}", *([f"{heading} (errors)\n{errors}"] if errors else [])]


def text_of(stream: io.TextIOWrapper) -> str:
    """Return what was written, data sorted and close together, without the words about waiting."""
    stream.seek(0)
    text = stream.read()
    if text.startswith("{"):
        return close_together(json.loads(text)) + "\n"
    return "".join(f"{line}\n" for line in text.splitlines() if not PASSING.search(line))


def close_together(data: object, indent: str = "") -> str:
    """Write data as JSON: sorted, and what fits into a line on one line."""
    line = json.dumps(data, sort_keys=True, ensure_ascii=False)
    if len(indent + line) <= WIDEST or not isinstance(data, dict | list):
        return line
    deeper, inside = indent + " ", list[str]()
    if isinstance(data, dict):
        inside = [f"{json.dumps(key)}: {close_together(data[key], deeper)}" for key in sorted(data)]
    else:
        inside = [close_together(one, deeper) for one in data]
    begin, end = "{}" if isinstance(data, dict) else "[]"
    return f"{begin}\n{deeper}" + f",\n{deeper}".join(inside) + f"\n{indent}{end}"
