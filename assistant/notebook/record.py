"""One talk being written down: everything typed, on the disk before it is answered, and what came of it."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection
from datetime import datetime

from assistant.notebook.book import TYPED, CutOff, Data, Entry, Notebook

CTRL_C = "\x03"
"""Stands among the typed lines where a question was left with Ctrl-C."""
NAMED = "%Y-%m-%d-%H%M%S"


class Record:
    """A talk about a car. car: its id, or what finds it when the first line is kept: it may have to be written first.

    book: None where nothing is kept.
    """

    def __init__(
        self, car: str | Callable[[Notebook], str], book: Notebook | None, *, moment: datetime | None = None
    ) -> None:
        self.book = book
        self._car = car
        self._moment = moment or datetime.now().astimezone()
        self.name = f"{self._moment:{NAMED}}-{os.getpid()}"
        self._talk: int | None = None
        self._held: int | None = None
        self._is_open = True
        self._is_whole = True
        self.has_lines = False

    @property
    def is_kept(self) -> bool:
        """Whether everything typed so far is on the disk."""
        return self._is_whole

    @property
    def can_keep(self) -> bool:
        """Whether there is a folder to keep anything in."""
        return self.book is not None and self.book.store.folder is not None

    def enter(self) -> str:
        """Return the id of the car, which is known to the notebook from here on."""
        if not isinstance(self._car, str):
            self._car = "" if self.book is None else self._car(self.book)
        return self._car

    def go_on_with(self, talk: CutOff) -> None:
        """Write on in a talk that was cut off."""
        self.name, self.has_lines = talk.name, True
        self._car, self._talk = talk.car, talk.id
        self._held = None if self.book is None else self.book.hold_talk(talk.id)

    def typed(self, text: str) -> None:
        """Put one typed line on the disk."""
        self.has_lines = True
        self.write(TYPED, text)

    def write(self, kind: str, text: str, data: Data | None = None) -> int | None:
        """Put an entry on the disk; its number, None when it is not there."""
        talk, found = self._begun(), None
        if self.book is not None and talk is not None:
            found = self.book.add(self.enter(), talk, kind, text, data)
        self._is_whole = self._is_whole and found is not None
        return found

    def stands(self, data: Data) -> None:
        """Write down where the talk stands, in the place of where it stood; one without a line stands nowhere."""
        talk = self._begun() if self.has_lines else None
        if self.book is not None and talk is not None:
            self._is_whole = self.book.stand(self.enter(), talk, data) is not None and self._is_whole

    def keep_only(self, numbers: Collection[int], is_step: Callable[[Entry], bool]) -> None:
        """Let these steps of the talk stand in the notebook, and take the others back."""
        told = () if self.book is None or self._talk is None else self.book.entries(talk=self._talk, gone=True)
        for entry in told:
            if self.book is not None and is_step(entry) and entry.gone is (entry.id in numbers):
                self.book.take_back(entry.id, gone=not entry.gone)

    def take_back(self, entry: int | None) -> None:
        """Mark an entry as taken back."""
        if self.book is not None and entry is not None:
            self._is_whole = self.book.take_back(entry) and self._is_whole

    def forget(self, talk: CutOff) -> None:
        """Mark a talk that was cut off as over for good; what was told in it stays."""
        if self.book is not None:
            self.book.end_talk(talk.id, turned_down=True)

    def anew(self, car: str | Callable[[Notebook], str]) -> Record:
        """Leave this talk and return the record of another, about this car: it is the one used last from here on."""
        self.close()
        another = Record(car, self.book)
        another.enter()
        return another

    def ended(self) -> None:
        """Mark the talk as over, so that nobody offers to go on with it."""
        if self.book is not None and self._talk is not None:
            self.book.end_talk(self._talk)
        self.close()

    def close(self) -> None:
        """Let the talk go without ending it."""
        if self.book is not None and self._talk is not None and self._held is not None:
            self.book.let_go(self._talk, self._held)
        self._held, self._is_open = None, False

    def _begun(self) -> int | None:
        """Return the number of the talk, which is put on the disk with its first line."""
        if self._talk is None and self.book is not None and self._is_open:
            self._talk = self.book.begin_talk(self.enter(), self.name, f"{self._moment:%d %b %H:%M}")
            self._held = None if self._talk is None else self.book.hold_talk(self._talk)
        return self._talk
