"""`halfturn new`, `cars` and `notebook`: what is the user's own.

`new` describes a car by questions, or starts a commented file; nothing is ever replaced. The notebook holds what was
told of the cars: listed, searched, shown, taken back and given out.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.car.file_keys import REFERENCES
from assistant.car.files import FILE_KINDS
from assistant.car.write import starter
from assistant.commands.runner import Runner, csv_text, refused
from assistant.ground.folders import is_there, slug, write_all
from assistant.ground.names import did_you_mean
from assistant.notebook.book import KINDS, TOLD, Entry, Notebook
from assistant.notebook.cars import all_cars, find_car
from assistant.pages import notebook as pages
from assistant.pages import sayings
from assistant.pages.blocks import Block, lines
from assistant.pages.data import Way, plain
from assistant.shell.begin import read_anything, warnings
from assistant.shell.own_car_dialog import OwnCarDialog

if TYPE_CHECKING:
    from assistant.ground.units import System

ASKED = ("car", "case")
STARTERS = Path(__file__).parent / "starters"


def new(options: argparse.Namespace) -> int:
    """Ask about the car, or write a starter file. Raises BadInput."""
    run = Runner(options)
    if options.kind in ASKED and not options.starter and not options.output:
        return _ask_about_car(run)
    name = (options.name or f"my {options.kind}").strip()
    files = new_files(options.kind, name, Path(options.output) if options.output else None, run.system)
    write_new(files)
    run.tell(*(f"Written: {path}" for path in files))
    if options.kind not in FILE_KINDS:
        run.tell(_say_next(next(iter(files)).parent))
    return 0


def _ask_about_car(run: Runner) -> int:
    """Ask by plain lines until all is answered; the end of the input takes every default that is left."""
    read_anything(sys.stdin)
    asked = OwnCarDialog(run.system, Path())
    run.show(asked.opening())
    if run.options.name:
        run.show(asked.say(run.options.name))
    while asked.case is None:
        run.tell(asked.prompt)
        row = sys.stdin.readline().strip()
        if row.lower() in {"quit", "exit", "q", ":q"}:
            run.tell(sayings.LEFT_UNWRITTEN)
            return 0
        run.show(asked.say(row))
    if asked.folder is None:
        raise refused("cannot be written to", "go to another folder", "this folder")
    return 0


def _say_next(folder: Path) -> str:
    """Say how a file of a pack is checked: by the pack around it, which must be there first."""
    pack = next((one for one in (folder, *folder.parents) if is_there(one / "pack.yaml")), None)
    return sayings.NO_PACK_YET.format(folder) if pack is None else sayings.FILL_IN.format(pack)


def new_files(kind: str, name: str, output: Path | None, system: System) -> dict[Path, str]:
    """Return the files to write and their text. A case brings all the files it names."""
    stem = slug(name) or kind
    if kind in REFERENCES:
        return {output or Path(f"{stem}.yaml"): car_file(kind, stem, system)}
    if kind == "case":
        folder = output or Path(stem)
        files = {folder / f"{part}.yaml": car_file(part, stem, system) for part in FILE_KINDS}
        files[folder / "case.yaml"] = files[folder / "case.yaml"].replace("setup: setup-demo", "setup: setup")
        return files
    if kind == "pack":
        return {(output or Path(stem)) / "pack.yaml": filled("pack", stem)}
    path = output or Path(f"{stem.replace('-', '_') if kind == 'lever' else stem}.yaml")
    files = {path: filled(kind, name.lower())}
    if kind in {"symptom", "cause"}:
        files[path.with_suffix("").with_suffix(".cases.yaml")] = filled(f"{kind}.cases", name.lower())
    return files


def filled(template: str, name: str) -> str:
    """Fill the name into a template."""
    text = (STARTERS / f"{template}.yaml").read_text(encoding="utf-8")
    return text.replace("{name}", name).replace("{id}", slug(name).replace("-", "_" if template == "lever" else "-"))


def car_file(kind: str, name: str, system: System) -> str:
    """Return a commented file of the car's kind under its own name; a case names the files beside it."""
    text = starter(kind, system)
    for key in (kind, "car") if kind == "setup" else (kind,):
        text = re.sub(rf"^{key}: .*$", f"{key}: {name}", text, count=1, flags=re.MULTILINE)
    return text


def write_new(texts: dict[Path, str]) -> None:
    """Write files that are not there yet, all or none. Raises BadInput when one is, or cannot be written."""
    for path in texts:
        if os.path.lexists(path):
            raise refused("is there already", "give another name, or -o FILE", str(path))
    try:
        for folder in {path.parent for path in texts}:
            folder.mkdir(parents=True, exist_ok=True)
        write_all(texts, over=False)
    except OSError as mistake:
        first = str(next(iter(texts)))
        raise refused(f"cannot be written: {mistake.strerror}", "give another place with -o FILE", first) from mistake


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
        run.answer(lambda: pages.entry_screen(entries[0], run.system), lambda: plain(entries[0], Way()))
    else:
        run.answer(lambda: listed(book, entries, words, options), lambda: {"entries": plain(entries, Way())})
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
    words = " ".join(options.word)
    known = {one.car for one in book.entries()} | {one.name for one in all_cars(book)}
    if words in known and not car:  # the name of a car alone is no word to look for
        car, words = car_named(book, words), ""
    return book.entries(car, kinds, words=words, gone=options.all)


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


def row_of(entry: Entry) -> tuple[object, ...]:
    """Write an entry as a row for a spreadsheet."""
    gone = "yes" if entry.gone else ""
    return (entry.id, entry.at, entry.car, entry.kind, entry.text, gone, json.dumps(dict(entry.data)))
