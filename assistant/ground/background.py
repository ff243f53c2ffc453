"""Work done behind the prompt in threads that never keep the program alive, and waiting for it without silence."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from concurrent.futures import Future
from time import monotonic
from typing import Generic, TypeVar

T = TypeVar("T")
Progress = Callable[[str], None]

NAME = "behind the prompt"
"""Name of every thread started here."""
TURN = 0.0005
"""Seconds after which another thread has its turn: one that works on arrays gives way after each of them, and would
wait ten times as long for its next turn while rules are read."""
SILENT, AGAIN, POLL = 0.5, 5.0, 0.1
"""Seconds: nothing is said before SILENT, then once more every AGAIN; POLL lets Ctrl-C through everywhere."""


def start(work: Callable[[], T]) -> Future[T]:
    """Begin the work in a daemon thread; its result or its exception waits in the future."""
    promise: Future[T] = Future()

    def run() -> None:
        try:
            promise.set_result(work())
        except BaseException as problem:  # noqa: BLE001 - handed to whoever asks for the result
            promise.set_exception(problem)

    sys.setswitchinterval(TURN)
    threading.Thread(target=run, daemon=True, name=NAME).start()
    return promise


def wait_for(promise: Future[T], says: str, progress: Progress) -> T:
    """Wait for the result; after half a second say what is going on, and again every few seconds. Ctrl-C leaves.

    What was said is taken back with "" at the end.
    """
    began = monotonic()
    next_word = SILENT
    try:
        while True:
            try:
                return promise.result(timeout=POLL)
            except TimeoutError:
                if promise.done():
                    raise  # the work itself timed out
            passed = monotonic() - began
            if passed >= next_word:
                progress(f"{says} (Ctrl-C stops it)" if next_word == SILENT else f"still at it, {passed:.0f} s")
                next_word = AGAIN if next_word == SILENT else next_word + AGAIN
    finally:
        if next_word != SILENT:
            progress("")


class Later(Generic[T]):
    """Something made behind the prompt, once: `begin` does not wait for it, `get` does."""

    def __init__(self, make: Callable[[], T], says: str, progress: Progress) -> None:
        self._make = make
        self._says = says
        self._progress = progress
        self._made: Future[T] | None = None

    def begin(self) -> None:
        """Begin to make it, unless somebody has."""
        self._made = self._made or start(self._make)

    def get(self) -> T:
        """Return it, waiting where it is not made yet."""
        self._made = self._made or start(self._make)
        return wait_for(self._made, self._says, self._progress)

    def get_quietly(self) -> T:
        """Return it, waiting without a word: what is said would stand in the line that is being typed."""
        self._made = self._made or start(self._make)
        return self._made.result()
