"""A car of the user's own, and talks kept in a notebook of a folder, for tests of others."""

from dataclasses import replace
from pathlib import Path

from assistant.car.case import Case
from assistant.car.files import read_case
from assistant.car.write import starter, write_rulebook
from assistant.notebook.book import CutOff, Notebook
from assistant.notebook.cars import find_car
from assistant.notebook.record import Record

FEW = ("stagger", "cross_weight", "spring_rr", "pressure_rr")


def with_few_levers(case: Case) -> Case:
    """Return the case under rules that let few levers move, where a list is wanted and not which."""
    limits = {lever: limit for lever, limit in case.rulebook.limits.items() if lever in FEW}
    return replace(case, rulebook=replace(case.rulebook, limits=limits))


def leave_few_levers(file: Path) -> None:
    """Put rules that let few levers move beside a case file."""
    rules = write_rulebook(with_few_levers(read_case("demo")).rulebook)
    file.with_name("rulebook.yaml").write_text(rules, encoding="utf-8")


def write_own(folder: Path) -> Path:
    """Write the files of a case of the user's own, with comments; return its case file."""
    folder.mkdir(parents=True, exist_ok=True)
    for kind in ("car", "tire", "track", "rulebook", "setup", "case"):
        text = starter(kind).replace("setup: setup-demo", "setup: setup")
        (folder / f"{kind}.yaml").write_text(text, encoding="utf-8")
    return folder / "case.yaml"


def record_in(folder: Path, car: str = "demo") -> Record:
    """Record a talk about a car in the notebook of a folder."""
    return Record(car, Notebook(folder))


def cut_off_in(folder: Path, car: str = "demo") -> CutOff | None:
    """Return the last talk about a car, if it was cut off."""
    return Notebook(folder).last_cut_off(car)


def cut_off_about(folder: Path, file: Path) -> CutOff | None:
    """Return the last talk about the car of a case file, if it was cut off."""
    book = Notebook(folder)
    return book.last_cut_off(find_car(book, file))
