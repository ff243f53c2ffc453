"""Whether the computed car is the one the driver speaks of: it stands where he puts it, and goes the way he says.

Said with everything that shows numbers of a model, in one line or two; and what no model of this kind knows.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from assistant.belief.standing import Said, Standing, find_against
from assistant.ground.grid import STAGES, Grid
from assistant.ground.words import PHASE_WORDS
from assistant.pages.amounts import state_words

if TYPE_CHECKING:
    from assistant.belief.model import Model
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
WORDS: Mapping[Said, str] = {-1: "loose", 0: "fine", 1: "tight"}
"""The line stands on screens that are full: it says as little as will do."""
LIMITS = (
    "Trust differences more than absolute numbers: the driver says where the car is, the model how it moves.",
    "The model knows no traffic, no bumps, curbs or wind, no track that changes, no brake fade and no tired engine.",
    "It drives an even speed in the middle, some brake on entry, some throttle on exit, and has one tire law for all.",
    "Whatever was only guessed in the car file makes every answer less sure.",
    "The tire maker's least pressure and the series rulebook come before anything said here.",
    "If something is bent, loose, leaking or rubbing, stop and mend that first.",
)
"""What the model does not know, and what comes before it."""


def doubts_of(model: Model | None, picture: Picture | None = None) -> tuple[str, ...]:
    """Say plainly why the numbers of a model are less sure than they look; nothing when they go with the words.

    picture: what is shown of the balance instead of the model's own.
    """
    shut = say_shut(picture) if picture is not None and picture.shut else ()
    if picture is not None and picture.left_out:
        shut = (NOT_BELIEVED,)
    if model is None:
        return shut
    if not model.stands_as_said:
        return (*shut, say_off(model))
    if shut:
        return shut
    said = say_against(model.standing, model.balance if picture is None else picture.value)
    return (said,) if said else ()


def as_said_data(model: Model | None, picture: Picture | None = None) -> dict[str, Any]:
    """Give the check as plain data. off: balance [%] the car is off from where it was put, None without a model."""
    return {
        "holds": None if model is None else model.stands_as_said,
        "off": None if model is None else model.off,
        "doubts": list(doubts_of(model, picture)),
    }


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


def say_off(model: Model) -> str:
    """Say that the car is not where the driver puts it, and what to make of it."""
    return (
        f"Trust no size here: the numbers could not be brought to where the car was put, but stand {model.off:.1f} % "
        "of grip off. Tires that run far above their best temperature do that, and banking as in a bowl."
    )


def say_against(standing: Standing, balance: Grid) -> str:
    """Say where the balance goes another way than the driver says; "" where it does not."""
    found = find_against(standing, balance)
    if not found:
        return ""
    several = len(found) > 1
    told = "; ".join(_say_said(phase, standing.of(phase)) for phase, _ in found)
    numbers = "; ".join(
        f"{state_words(balance[phase][stage])} {SHORT[stage]}{f' {PHASE_WORDS[phase]}' * several}"
        for phase, stage in found
    )
    return f"You said {told}; the numbers have it {numbers}: the sizes are less sure."


def _say_said(phase: str, said: Mapping[str, Said]) -> str:
    """Say what was said of a phase: "fine fresh and loose late coming off"."""
    if len(said) == len(STAGES) and len(set(said.values())) == 1:
        return f"{WORDS[next(iter(said.values()))]} all run long {PHASE_WORDS[phase]}"
    told = [f"{WORDS[said[stage]]} {SHORT[stage]}" for stage in STAGES if stage in said]
    return f"{' and '.join(told)} {PHASE_WORDS[phase]}"
