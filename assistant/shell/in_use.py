"""One line for what the numbers of a talk come from: the case, its car, track and setup, and the fit in use."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.ground.words import count_of

if TYPE_CHECKING:
    from assistant.car.case import Case

NO_FIT = "no run log fitted"


def say_in_use(case: Case) -> str:
    """Say which case is on the bench, and which measured corrections are in it."""
    return f"Case {case.name}: {case.car.name} on {case.track.name}, setup {case.setup.name}; {say_fit(case)}."


def say_fit(case: Case) -> str:
    """Say what a run log corrected, if one did."""
    fit = case.fit
    if fit is None:
        return NO_FIT
    return f"fitted to {fit.log} ({count_of(len(fit.values), 'number')}, {fit.name})"
