"""Log: one run measured lap by lap as evidence, and how far off the next one is foretold, beside today's fit of it.

Both logs are of a car with laws of its own (`tests.generators.other_car`). Of the race its first stint is foretold.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from assistant.belief.believe import Belief, weigh_belief
from assistant.belief.garage import Garage
from assistant.belief.known import Known, row_of_reading, usual_rows
from assistant.belief.log_fit import calibrate, kind_of, take_in
from assistant.belief.log_readings import Reading, Readings, collect_readings, foretell
from assistant.car.case import Case, put_fit
from assistant.car.run_log_file import read_run_log
from assistant.ground.folders import demo_folder

STINT = 45
"""Laps of the race before its stop."""


BANDS = (0.5, 0.8, 0.95)


def read(belief: Belief, one: Reading) -> np.ndarray:
    """What every car says a reading is, in the measure of the evidence."""
    row = row_of_reading(one, belief.garage.case, "", 0)
    return np.asarray(sum(term.factor * belief.read(term.quantity, term.at) for term in row.terms))


def inside(belief: Belief, stint: Readings, scatter: Mapping[str, float]) -> list[float]:
    """Share of the readings of tires and fuel that lie in each band, gauge and hand included; scatter: theirs."""
    draw, found = np.random.default_rng(4), []
    for one in stint.readings:
        if one.quantity != "lap time":
            row = row_of_reading(one, belief.garage.case, "", 0)
            values = read(belief, one) + row.off * scatter.get(kind_of(row), 1.0) * draw.standard_normal(belief.cars)
            below = belief.mean((values < row.value).astype(float))
            found.append([abs(below - 0.5) < band / 2 for band in BANDS])
    return np.mean(found, axis=0).tolist()


def off(stint: Readings, foretold: list[float]) -> dict[str, float]:
    """Root mean square miss of each quantity; lap times by their shape, at their own level."""
    values, found = np.array([one.value for one in stint.readings]), np.array(foretold)
    laps = stint.of("lap time")
    found[laps] *= np.exp(np.log(values[laps] / found[laps]).mean())
    names = dict.fromkeys(one.quantity for one in stint.readings)
    return {name: float(np.sqrt(np.mean((found - values)[stint.of(name)] ** 2))) for name in names}


def prove_log(case: Case, garage: Garage) -> list[str]:
    """Learn from the practice, and foretell the race."""
    practice, race = (read_run_log(demo_folder() / f"run-{name}.csv") for name in ("practice", "race"))
    raced = collect_readings(race)
    stint = replace(raced, laps=STINT, stops=(), readings=tuple(one for one in raced.readings if one.lap <= STINT))
    fitted = put_fit(case, calibrate(case, practice).fit)
    told = {
        "as in the files": off(stint, foretell(case, stint)[0]),
        "as the practice taught": off(stint, foretell(fitted, stint)[0]),
    }
    lines = [
        f"  {name}: " + ", ".join(f"{what} {size:.3g}" for what, size in misses.items()) + " (SI)"
        for name, misses in told.items()
    ]
    scatter = take_in(case, collect_readings(practice)).scatter
    for name, cars in (("before", garage), ("after", Garage(fitted))):
        held = inside(weigh_belief(cars, Known(usual_rows()), ""), stint, scatter)
        words = ", ".join(f"{share:.2f} in {band:.0%}" for share, band in zip(held, BANDS, strict=True))
        lines.append(f"  readings in their band {name}: {words}")
    return lines
