"""`halfturn notebook` and `cars`: what was told of the cars, listed, searched, shown, taken back and given out."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING, Any

from assistant.commands.runner import Runner, csv_text, refused
from assistant.ground.names import did_you_mean
from assistant.notebook.book import KINDS, TOLD, Entry, Notebook
from assistant.notebook.cars import all_cars, find_car
from assistant.pages import notebook as pages
from assistant.pages.blocks import Block, lines
from assistant.shell.begin import warnings

if TYPE_CHECKING:
    import argparse

HEAD = ("id", "when", "car", "kind", "text", "taken back", "data")


def notebook(options: argparse.Namespace) -> int:
    """Answer one call of the command. Raises BadInput."""
    run, book = Runner(options), Notebook()
    if options.take_back:
        return take_back(run, book, entry_at(book, options.take_back))
    words = " ".join(options.word)
    entries = (entry_at(book, words),) if words.isdecimal() else found(book, car_named(book, options.car), options)
    if options.csv:
        sys.stdout.write(csv_text(HEAD, map(row_of, entries)))
    elif words.isdecimal():
        run.answer(lambda: pages.entry_screen(entries[0], run.system), lambda: data_of(entries[0]))
    else:
        run.answer(
            lambda: listed(book, entries, words, options), lambda: {"entries": [data_of(one) for one in entries]}
        )
    return 0


def cars(options: argparse.Namespace) -> int:
    """List the user's own cars, the one used last first."""
    found = all_cars(Notebook())
    data = [{"name": car.name, "file": car.file} for car in found]
    Runner(options).answer(lambda: pages.cars_screen(found, "halfturn"), lambda: {"cars": data})
    return 0


def listed(book: Notebook, entries: tuple[Entry, ...], words: str, options: argparse.Namespace) -> list[Block]:
    """Show the last entries, or all that were asked for."""
    last = entries if options.all else entries[-pages.MOST :]
    names = {one.id: one.name for one in book.cars()}
    warned = lines(warnings(book))
    return [*warned, *pages.list_screen(last, names, words, cut=len(last) < len(entries))]


def found(book: Notebook, car: str, options: argparse.Namespace) -> tuple[Entry, ...]:
    """List the entries asked for: all of them also with what was typed, and what was taken back."""
    kinds = [kind for kind in KINDS if kind in pages.KIND_WORDS] if options.all else TOLD
    return book.entries(car, kinds, words=" ".join(options.word), gone=options.all)


def car_named(book: Notebook, name: str | None) -> str:
    """Find the id of a car by its name, or that of a demo; "" for no name. Raises BadInput."""
    if not name:
        return ""
    named = {one.name: one.id or find_car(book, one.file) for one in all_cars(book)}
    if name in named:
        return named[name]
    if not book.entries(name, KINDS, gone=True):
        raise refused(f"nothing is known of a car {name!r}", did_you_mean(name, named) if named else "")
    return name


def entry_at(book: Notebook, number: str) -> Entry:
    """Find an entry by its number. Raises BadInput."""
    entry = book.entry(int(number)) if number.isascii() and number.isdigit() and len(number) < 12 else None
    if entry is None or entry.kind not in pages.KIND_WORDS:
        raise refused(f"there is no entry {number!r} in the notebook", "notebook alone lists them with their numbers")
    return entry


def take_back(run: Runner, book: Notebook, entry: Entry) -> int:
    """Take an entry back; the talk it is from is over then, for its lines would tell it again."""
    if not book.take_back(entry.id):
        run.tell(pages.NOT_TAKEN_BACK)
        return 2
    over = book.is_open(entry.talk)
    if over:
        book.end_talk(entry.talk, turned_down=True)
    said = entry.text if entry.text.endswith((".", "!", "?")) else f"{entry.text}."
    run.tell(pages.NO_EVIDENCE.format(said), *([pages.TALK_OVER] if over else []))
    return 0


def data_of(entry: Entry) -> dict[str, Any]:
    """Write an entry for programs."""
    return {
        "id": entry.id,
        "when": entry.at,
        "car": entry.car,
        "kind": entry.kind,
        "text": entry.text,
        "taken_back": entry.gone,
        "data": dict(entry.data),
    }


def row_of(entry: Entry) -> tuple[object, ...]:
    """Write an entry as a row for a spreadsheet."""
    gone = "yes" if entry.gone else ""
    return (entry.id, entry.at, entry.car, entry.kind, entry.text, gone, json.dumps(dict(entry.data)))
