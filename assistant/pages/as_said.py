"""Whether the believed car is the one the driver speaks of: that there is one, and that it goes the way he says.

Said with everything that shows numbers of a model, in one line or two; and what no model of this kind knows.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from assistant.ground.grid import STAGES
from assistant.ground.words import PHASE_WORDS
from assistant.pages.amounts import state_words

if TYPE_CHECKING:
    from assistant.belief.picture import Picture

SHORT: Mapping[str, str] = {"fresh": "fresh", "settled": "settled", "worn": "late"}
NOT_BELIEVED = "No plausible car does what was measured beside what you said: the balance is that of the words alone."
MOST_IN_THE_WAY = 2
SETTLES: Mapping[str, str] = {
    "tread": "tread temperatures of all four corners, right after a run",
    "pressure": "hot pressures, right after a run",
    "wear": "the tread used over a run",
    "": "a run log, lap by lap",
}
"""What to measure, by the kind of gauge that it is; the first that is not there yet is asked for."""
LOOSE, FINE = "loose", "fine"
LIMITS = (
    "Trust differences more than absolute numbers: the driver says where the car is, the model how it moves.",
    "The model knows no traffic, no bumps, curbs or wind, no track that changes, no brake fade and no tired engine.",
    "It drives an even speed in the middle, some brake on entry, some throttle on exit, and has one tire law for all.",
    "Whatever was only guessed in the car file makes every answer less sure.",
    "The tire maker's least pressure and the series rulebook come before anything said here.",
    "If something is bent, loose, leaking or rubbing, stop and mend that first.",
)
"""What the model does not know, and what comes before it."""


def doubts_of(picture: Picture | None) -> tuple[str, ...]:
    """Say plainly why the numbers are less sure than they look; nothing when they go with the words."""
    if picture is None:
        return ()
    if picture.shut:
        return say_shut(picture)
    against = say_against(picture)
    return (*((NOT_BELIEVED,) if picture.left_out else ()), *((against,) if against else ()))


def as_said_data(picture: Picture | None) -> dict[str, Any]:
    """Give the check as plain data. holds: whether a plausible car does all that is known, None where nobody asked."""
    return {"holds": None if picture is None else not picture.shut, "doubts": list(doubts_of(picture))}


def say_shut(picture: Picture) -> tuple[str, ...]:
    """Say that no plausible car does all that is known, what stands in the way, and what to measure."""
    if not picture.against:
        return ("No plausible car like this one drives this run: where its balance stands is not known.",)
    named = "; ".join(_say_row(row) for row in picture.against[:MOST_IN_THE_WAY])
    measure = next(say for kind, say in SETTLES.items() if kind not in picture.measured)
    return (
        f"No plausible car does all that is known. Most in the way: {named}. So no number is shown for the balance.",
        f"What would settle it: {measure}.",
    )


def _say_row(row: str) -> str:
    """Say what was known, by the id of its row: "your word for coming off, late", "tread RF at 40"."""
    phase, *rest = row.split()
    if phase not in PHASE_WORDS or not rest or rest[0] not in STAGES:
        return row
    more = {"implied": " (taken as fine)"}.get(" ".join(rest[1:]), f" ({' '.join(rest[1:])})" if rest[1:] else "")
    return f"your word for {PHASE_WORDS[phase]}, {SHORT[rest[0]]}{more}"


def say_against(picture: Picture) -> str:
    """Say where the balance goes another way than the driver says; "" where it does not."""
    found = [cell for cell, way in picture.said.items() if way != FINE and _is_turned(way, picture, cell)]
    if not found:
        return ""
    told = "; ".join(f"{picture.said[cell]} {_where(cell)}" for cell in found)
    numbers = "; ".join(
        f"{state_words(picture.value[phase][stage])} {_where((phase, stage))}" for phase, stage in found
    )
    return f"You said {told}; the numbers have it {numbers}: the sizes are less sure."


def _is_turned(way: str, picture: Picture, cell: tuple[str, str]) -> bool:
    """Whether a cell stands on the other side than was said of it."""
    value = picture.value[cell[0]][cell[1]]
    return value > 0.0 if way == LOOSE else value < 0.0


def _where(cell: tuple[str, str]) -> str:
    return f"{PHASE_WORDS[cell[0]]} {SHORT[cell[1]]}"
