"""The notebook on a screen: what was told of the cars, a line each, and one entry in full."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from assistant.car.keys import LEVERS, lever_name
from assistant.ground.units import System, show
from assistant.notebook.book import ADVICE, ANSWER, FELT, MADE, MEASURED, NOTE, SAID, TYPED, Entry, KnownCar, is_number
from assistant.pages.amounts import lever_value
from assistant.pages.balance import change_words
from assistant.pages.blocks import Block, Line, lines
from assistant.pages.felt_words import NAMES

KIND_WORDS = {
    SAID: "said",
    ANSWER: "answered",
    MEASURED: "measured",
    ADVICE: "advised",
    MADE: "made",
    FELT: "felt",
    NOTE: "noted",
    TYPED: "typed",
}
MOST = 30
"""Entries a screen shows when nobody asks for all of them."""
EMPTY = "Nothing is in the notebook yet: it is written as you talk."
NOT_FOUND = "Nothing in the notebook has {0}."
ONLY_LAST = "These are the last {0}; --all shows every one, with what was typed and what was taken back."
HOW_ON = "notebook {0} tells one in full, notebook --take-back {0} takes it back."
TAKEN_BACK = "taken back"
NO_EVIDENCE = "Taken back: {0} It stays in the notebook, and nothing is concluded from it any more."
TALK_OVER = "The talk it was told in is over with that; the next begins anew."
NOT_TAKEN_BACK = "Not taken back: the notebook cannot be written to."
NO_CARS = "No car of yours is on file yet; mine in a talk describes one."
OPENS = "{0} {1} opens one, {0} demo the invented one."


def list_screen(entries: Sequence[Entry], names: Mapping[str, str], words: str, *, cut: bool) -> list[Block]:
    """Show entries, a line each. names: of the cars. cut: there are more before these."""
    if not entries:
        return [Line(NOT_FOUND.format(f"'{words}' in it") if words else EMPTY)]
    several = len({one.car for one in entries}) > 1
    rows = [Line(told_of(one, names.get(one.car, one.car) if several else ""), lead=str(one.id)) for one in entries]
    more = [Line(ONLY_LAST.format(len(entries)))] if cut else []
    return [*rows, *more, Line(HOW_ON.format(entries[-1].id))]


def told_of(entry: Entry, car: str) -> str:
    """Write an entry in a line: when, of which car where there are several, what."""
    when = ", ".join(filter(None, (entry.at[5:16], car)))
    return f"{when}, {_told(entry)}"


def _told(entry: Entry) -> str:
    """Write what kind an entry is and what was told, marked where it was taken back."""
    return f"{KIND_WORDS.get(entry.kind, entry.kind)}: {entry.text}" + (f" ({TAKEN_BACK})" if entry.gone else "")


def entry_screen(entry: Entry, system: System) -> list[Block]:
    """Show one entry in full."""
    return [Line(f"{entry.id}, {entry.at}, {_told(entry)}"), *lines(details(entry, system), indent=2)]


def details(entry: Entry, system: System) -> list[str]:
    """Say what an entry holds besides its text; what is not as it was written is left out."""
    data = entry.data
    if entry.kind == MADE:
        return [*_moves(data.get("moves"), system), *_promise(data.get("promise"))]
    if entry.kind == FELT:
        counts = "counted for the next sizes" if data.get("counts") else "kept, and nothing concluded from it"
        return [f"it came to: {NAMES.get(str(data.get('word')), '')}", *_goes(data.get("promised")), counts]
    if entry.kind == ADVICE:
        offers = data.get("offers")
        return [str(one) for one in offers] if isinstance(offers, list) else []
    if entry.kind == ANSWER:
        return [f"question: {data.get('question')}"]
    if entry.kind == MEASURED:
        return _treads(data.get("temperatures") or _named(data.get("readings")).get("temperatures"), system)
    return []


def _named(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, dict) else {}


def _is_numbers(value: Any, count: int) -> bool:
    return isinstance(value, list) and len(value) == count and all(map(is_number, value))


def _moves(moves: Any, system: System) -> list[str]:
    """Say from what to what levers were moved."""
    return [
        f"{lever_name(lever)}: from {lever_value(lever, pair[0], system)} to {lever_value(lever, pair[1], system)}"
        for lever, pair in _named(moves).items()
        if lever in LEVERS and _is_numbers(pair, 2)
    ]


def _promise(promise: Any) -> list[str]:
    """Say what was promised: how much goes, and how far each cell moves."""
    if not isinstance(promise, dict):
        return ["nothing was promised"]
    rows = [
        f"{cell}: {change_words(band[0])}, in 8 of 10 plausible cars {change_words(band[1])} to {change_words(band[2])}"
        for cell, band in _named(promise.get("cells")).items()
        if _is_numbers(band, 3)
    ]
    return [*_goes(promise.get("removes")), *rows]


def _goes(removes: Any) -> list[str]:
    """Say how much of the complaint was to go."""
    return [f"promised: about {round(10 * removes) * 10} % of it goes"] if is_number(removes) else []


def _treads(treads: Any, system: System) -> list[str]:
    """Say tire temperatures, inside, middle, outside."""
    return [
        f"{corner}: {' '.join(show(float(one), 'temperature', system=system) for one in zones)}"
        for corner, zones in _named(treads).items()
        if _is_numbers(zones, 3)
    ]


def cars_screen(cars: Sequence[KnownCar], opens: str) -> list[Block]:
    """Show the user's own cars, the one used last first. opens: what stands before a name to open it."""
    if not cars:
        return [Line(NO_CARS)]
    rows = [Line(f"{car.name}: {car.file}", indent=2) for car in cars]
    return [Line("Your cars, the one used last first:"), *rows, Line(OPENS.format(opens, cars[0].name))]
