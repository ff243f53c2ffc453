"""Log: one run measured lap by lap as evidence, and how far off the next one is foretold.

The logs are of cars with laws of their own (`tests.generators.other_car`). Of the race its first stint is foretold.
Bands are held against cars whose sizes are drawn anew; the misses against the demo's logs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import numpy as np

from assistant.belief.believe import Belief, weigh_belief
from assistant.belief.garage import Garage
from assistant.belief.known import Known, row_of_reading, usual_rows
from assistant.belief.log_fit import calibrate, kind_of, take_in
from assistant.belief.log_readings import Reading, Readings, collect_readings, foretell
from assistant.car.case import Case, put_fit
from assistant.car.run_log import RunLog
from assistant.car.run_log_file import read_run_log
from assistant.ground.folders import demo_folder
from tests.generators.other_car import INVENTED, draw_sizes, practice, race, text

STINT = 45
"""Laps of the race before its stop."""
BANDS = (0.5, 0.8, 0.95)
SEEDS = range(2000, 2012)
"""Of the hidden cars; nothing was chosen on them."""


def read(belief: Belief, one: Reading) -> np.ndarray:
    """What every car says a reading is, in the measure of the evidence."""
    row = row_of_reading(one, belief.garage.case)
    return np.asarray(sum(term.factor * belief.read(term.quantity, term.at) for term in row.terms))


def inside(belief: Belief, stint: Readings, scatter: Mapping[str, float]) -> list[list[bool]]:
    """Whether each reading of tires and fuel lies in each band, gauge and hand included; scatter: theirs."""
    draw, found = np.random.default_rng(4), []
    for one in stint.readings:
        if one.quantity != "lap time":
            row = row_of_reading(one, belief.garage.case)
            values = read(belief, one) + row.off * scatter.get(kind_of(row), 1.0) * draw.standard_normal(belief.cars)
            below = belief.mean((values < row.value).astype(float))
            found.append([abs(below - 0.5) < band / 2 for band in BANDS])
    return found


def off(stint: Readings, foretold: list[float]) -> dict[str, float]:
    """Root mean square miss of each quantity; lap times by their shape, at their own level."""
    values, found = np.array([one.value for one in stint.readings]), np.array(foretold)
    laps = stint.of("lap time")
    found[laps] *= np.exp(np.log(values[laps] / found[laps]).mean())
    names = dict.fromkeys(one.quantity for one in stint.readings)
    return {name: float(np.sqrt(np.mean((found - values)[stint.of(name)] ** 2))) for name in names}


def first_stint(race: RunLog) -> Readings:
    """Readings of a race up to its stop."""
    raced = collect_readings(race)
    return replace(raced, laps=STINT, stops=(), readings=tuple(one for one in raced.readings if one.lap <= STINT))


def log_of(rows: list[list[str]]) -> RunLog:
    """Read a log that was made."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        path.write_text(text(rows, INVENTED), encoding="utf-8")
        return read_run_log(path)


def hold_bands(case: Case, seed: int) -> list[list[bool]]:
    """Learn from a practice of a hidden car, and hold the bands of its race against what was read there."""
    sizes = draw_sizes(Random(seed))  # noqa: S311 - sizes of a car, no secret
    learned = log_of(practice(2 * seed, sizes))
    fit, scatter = calibrate(case, learned).fit, take_in(case, collect_readings(learned)).scatter
    belief = weigh_belief(Garage(put_fit(case, fit)), Known(usual_rows()), "")
    return [] if fit is None else inside(belief, first_stint(log_of(race(2 * seed + 1, sizes))), scatter)


def prove_log(case: Case) -> list[str]:
    """Learn from the demo's practice and foretell its race; then hold bands against hidden cars."""
    practiced, raced = (read_run_log(demo_folder() / f"run-{name}.csv") for name in ("practice", "race"))
    stint, fitted = first_stint(raced), put_fit(case, calibrate(case, practiced).fit)
    told = {
        "as in the files": off(stint, foretell(case, stint)[0]),
        "as the practice taught": off(stint, foretell(fitted, stint)[0]),
    }
    lines = [
        f"  {name}: " + ", ".join(f"{what} {size:.3g}" for what, size in misses.items()) + " (SI)"
        for name, misses in told.items()
    ]
    found = [held for seed in SEEDS for held in hold_bands(case, seed)]
    words = ", ".join(f"{share:.2f} in {band:.0%}" for share, band in zip(np.mean(found, axis=0), BANDS, strict=True))
    return [*lines, f"  {len(found)} readings of hidden cars in their band: {words}"]
