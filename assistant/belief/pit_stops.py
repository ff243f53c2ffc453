"""Stops and cautions as a person writes them: "30: new right tires, fuel", "45: caution", "50: fuel"."""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.ground.names import CORNERS, SIDES
from assistant.ground.problems import BadInput, Problem
from assistant.ground.words import did_you_mean
from assistant.physics.heat_and_wear import Stop

CAUTION_LAPS = 4
"""Slow laps of a caution whose length nobody said; assumption."""
MOST_SLOW_LAPS = 60
EXAMPLE = 'write LAP: WHAT, such as --stop "30: new right tires, fuel"'
_SETS = {
    "": CORNERS,
    "four": CORNERS,
    **SIDES,
    **{corner.lower(): (corner,) for corner in CORNERS},
}
_TIRES = re.compile(r"(?:new\s+)?(?:(\w+)\s+)?tires?")
_SLOW = re.compile(r"caution(?:\s+(?:of\s+)?(\d{1,3})(?:\s+laps?)?)?|(\d{1,3})\s+slow\s+laps?")
_WORDS = ("new tires", *(f"new {name} tires" for name in _SETS if name), "fuel", "caution", "caution 6 laps")


def read_stops(texts: Sequence[str], laps: int) -> tuple[Stop, ...]:
    """Read the stops of a run of `laps` laps, in the order of their laps. Raises BadInput naming every wrong one."""
    stops: dict[int, Stop] = {}
    problems: list[Problem] = []
    for text in texts:
        try:
            stop = read_stop(text, laps)
        except BadInput as mistake:
            problems += mistake.problems
            continue
        if stop.after_lap in stops:
            problems.append(wrong(f"there are two stops after lap {stop.after_lap}", "write both jobs into one --stop"))
        stops[stop.after_lap] = stop
    if problems:
        raise BadInput(problems)
    return tuple(stops[lap] for lap in sorted(stops))


def read_stop(text: str, laps: int) -> Stop:
    """Read one stop. Raises BadInput."""
    lap, colon, jobs = text.partition(":")
    if not colon or not jobs.strip():
        raise BadInput(wrong(f"{text!r} is no stop", EXAMPLE))
    if not lap.strip().isascii() or not lap.strip().isdigit():
        raise BadInput(wrong(f"{lap.strip()!r} is no lap", EXAMPLE))
    after = int(lap) if len(lap) < 10 else laps
    if not 0 < after < laps:
        raise BadInput(
            wrong(f"a stop after lap {lap.strip()} does not fit a run of {laps} laps", f"laps 1 to {laps - 1}")
        )
    new: set[str] = set()
    fuel, slow = False, 0
    for job in (part.strip().lower() for part in jobs.split(",")):
        if job in {"fuel", "gas", "fuel only"}:
            fuel = True
        elif (found := _SLOW.fullmatch(job)) is not None:
            slow = int((found[1] or found[2] or str(CAUTION_LAPS))[:6])
            if not 0 < slow <= MOST_SLOW_LAPS:
                raise BadInput(wrong(f"{slow} slow laps are too many or too few", f"1 to {MOST_SLOW_LAPS}"))
        elif (tires := _TIRES.fullmatch(job)) is not None and (tires[1] or "") in _SETS:
            new |= set(_SETS[tires[1] or ""])
        else:
            raise BadInput(wrong(f"{job!r} is nothing that is done at a stop", did_you_mean(job, _WORDS)))
    lf, rf, lr, rr = (corner in new for corner in CORNERS)
    return Stop(after, (lf, rf, lr, rr), fuel=fuel, slow_laps=slow)


def wrong(says: str, hint: str) -> Problem:
    """Name a mistake in a stop."""
    return Problem("--stop", 0, 0, says, hint)
