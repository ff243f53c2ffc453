"""A terminal in memory with the program in it. Every wait has an end, and its failure shows the screen."""

import os
import re
import sys
from pathlib import Path
from time import monotonic

import pexpect
import pyte

from tests.conftest import share_driven

ROOT = Path(__file__).parents[2]
PATIENCE = 30
OPENED = "\x1b[?2004h"


class Terminal:
    """Type, wait for words, look at the screen, resize; `sent` keeps every byte the program wrote."""

    def __init__(self, folder, *words, columns=80, rows=24, **env):
        share_driven(folder)
        self.screen = pyte.HistoryScreen(columns, rows, history=2000)
        self.stream = pyte.Stream(self.screen)
        self.sent = ""
        self.begun = 0
        left = {"NO_COLOR", "ACCESSIBLE", "TERM", "COLUMNS", "LINES"}  # a size told there would stand still
        around = {name: value for name, value in os.environ.items() if name not in left}
        around |= {"HALFTURN_FOLDER": str(folder), "PYTHONPATH": str(ROOT), "TERM": "xterm-256color", **env}
        self.child = pexpect.spawn(
            sys.executable,
            ["-m", "assistant", *words],
            dimensions=(rows, columns),
            encoding="utf-8",
            env=around,
            timeout=5,
        )
        self.child.delaybeforesend = None

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.child.close(force=True)

    def read(self, seconds=0.05):
        try:
            text = self.child.read_nonblocking(65536, timeout=seconds)
        except (pexpect.TIMEOUT, pexpect.EOF):
            return ""
        self.sent += text
        self.stream.feed(text)
        return text

    def wait(self, words):
        """Wait until the words were written since the last line was typed; they may have scrolled away."""
        return self._until(lambda: words in self.news, words)

    def wait_screen(self, words):
        """Wait until the words stand on the screen, wrapped or not."""
        return self._until(lambda: words in self.words, words)

    def wait_prompt(self, words):
        """Wait until a prompt opened since the last line was typed; a line that was entered is only drawn once more."""
        return self._until(lambda: OPENED in self.sent[self.begun :] and self.news.rstrip().endswith(words), words)

    def _until(self, there, words):
        end = monotonic() + PATIENCE
        while monotonic() < end:
            if there():
                return self
            if not self.read() and not self.child.isalive():
                break
        raise AssertionError(f"{words!r} did not come; the screen:\n" + "\n".join(self.screen.display))

    def type(self, text, enter=True):
        self.begun = len(self.sent)
        self.child.send(text + ("\r" if enter else ""))
        return self

    def resize(self, columns, rows):
        self.child.setwinsize(rows, columns)
        self.screen.resize(rows, columns)
        return self

    def end(self):
        """Wait for the program to end; return its exit code."""
        finish = monotonic() + PATIENCE
        while self.child.isalive() and monotonic() < finish:
            self.read()
        while self.read():
            pass
        self.child.close()
        return self.child.exitstatus

    @property
    def rows(self):
        return [row.rstrip() for row in self.screen.display]

    @property
    def news(self):
        plain = re.sub(r"\x1b\[[0-9;?]*[A-Za-z]|\x1b[=>]|[\r\b]", "", self.sent[self.begun :])
        return re.sub(r"\s+", " ", plain)

    @property
    def words(self):
        return re.sub(r"\s+", " ", " ".join(row.rstrip() for row in self.screen.display)).strip()
