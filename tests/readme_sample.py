"""Replay the conversation in README.md, and write it and its picture again: python -m tests.readme_sample --write."""

import html
import io
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
PICTURE = ROOT / "docs" / "screen.svg"
BLOCK = re.compile(r"(<!-- sample: (?P<typed>[^>]*) -->\n```text\n)(?P<shown>.*?)(```\n)", re.DOTALL)
PASSING = re.compile(r"\(Ctrl-C stops it\)$|^still at it")
TYPED = "> "
WIDTH, LINE = 8.4, 18
AS_INSTALLED = {name: value for name, value in os.environ.items() if name != "HALFTURN_CARS"}
"""With as many plausible cars as a person has, not the few of the tests."""


def talk(typed: list[str], ready: Callable[[str], None] = lambda _: None) -> str:
    """What the conversation on the demo prints when these lines are typed, without the words about waiting.

    ready: what is done with the program's folder before it starts.
    """
    with tempfile.TemporaryDirectory() as folder:
        ready(folder)
        done = subprocess.run(
            [sys.executable, "-m", "assistant", "talk", "demo"],
            input="\n".join(typed) + "\n",
            capture_output=True,
            text=True,
            check=True,
            cwd=ROOT,
            env={**AS_INSTALLED, "HALFTURN_FOLDER": folder, "COLUMNS": "80", "NO_COLOR": "1"},
        )
    return "".join(line + "\n" for line in done.stdout.splitlines() if not PASSING.search(line))


def sample() -> tuple[list[str], str]:
    """The lines typed in the README's sample, and what it shows."""
    found = BLOCK.search(README.read_text(encoding="utf-8"))
    assert found, "README.md has no sample conversation"
    return [line.strip() for line in found["typed"].split("|")], found["shown"]


def screenful(shown: str) -> list[str]:
    """The longest answer of a conversation, from the line typed before it to the next prompt."""
    rows = shown.rstrip().splitlines()
    typed = [at for at, row in enumerate(rows) if row.startswith(TYPED)]
    answers = [rows[one:after] for one, after in pairwise([*typed, len(rows)])]
    return max(answers, key=len)


def draw(shown: str) -> str:
    """The longest answer of a conversation as an SVG picture.

    Browsers take spaces as they stand only where the style of each text says so; other viewers look at xml:space.
    """
    rows = screenful(shown)
    out = io.StringIO()
    height = LINE * (len(rows) + 1)
    out.write(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {80 * WIDTH + 24:.0f} {height}" role="img">\n')
    out.write("<title>Halfturn in a terminal</title>\n")
    out.write(f"<desc>The longest answer of the sample conversation in the README, to: {html.escape(rows[0])}</desc>\n")
    out.write(
        "<style>text { white-space: pre; fill: #e8e6e3; font: 14px monospace } .typed { fill: #8fd3a7 }</style>\n"
    )
    out.write('<rect width="100%" height="100%" rx="6" fill="#16181d"/>\n')
    for number, row in enumerate(rows, start=1):
        kind = ' class="typed"' if row.startswith(TYPED) else ""
        out.write(f'<text x="12" y="{number * LINE}" xml:space="preserve"{kind}>{html.escape(row)}</text>\n')
    out.write("</svg>\n")
    return out.getvalue()


def write() -> None:
    """Put the present conversation into the README and draw its picture."""
    typed, _ = sample()
    shown = talk(typed)
    text = README.read_text(encoding="utf-8")
    README.write_text(BLOCK.sub(lambda found: found[1] + shown + found[4], text), encoding="utf-8")
    PICTURE.write_text(draw(shown), encoding="utf-8")


if __name__ == "__main__" and "--write" in sys.argv:
    write()
