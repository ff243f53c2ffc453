"""Log: one run measured lap by lap as evidence, and how far off the next one is foretold, beside today's fit of it.

Both logs are of a car with laws of its own (`tests.generators.other_car`). Of the race its first stint is foretold.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from assistant.belief.believe import Belief, believe, weigh_belief
from assistant.belief.garage import Garage
from assistant.belief.gauges import row_of_reading, rows_of_log
from assistant.belief.known import Known, usual_rows
from assistant.belief.log_fit import PARAMETERS, calibrate, leveled_answer
from assistant.belief.log_readings import Reading, Readings, collect_readings
from assistant.car.case import Case, put_fit
from assistant.car.run_log_file import read_run_log
from assistant.ground.folders import demo_folder

STINT = 45
"""Laps of the race before its stop."""


def foretell(belief: Belief, one: Reading) -> float:
    """What the belief says a reading is, in the unit of the reading."""
    case = belief.garage.case
    if one.quantity == "lap time":
        return belief.mean(belief.read("lap time", one.lap - 0.5))
    row = row_of_reading(one, case, "", 0)
    total = sum(term.factor * belief.read(term.quantity, term.at) for term in row.terms)
    return belief.mean(total) * one.value / row.value


def off(stint: Readings, foretold: list[float]) -> dict[str, float]:
    """Root mean square miss of each quantity; lap times by their shape, at their own level."""
    values, found = np.array([one.value for one in stint.readings]), np.array(foretold)
    laps = stint.of("lap time")
    found[laps] *= np.exp(np.log(values[laps] / found[laps]).mean())
    names = dict.fromkeys(one.quantity for one in stint.readings)
    return {name: float(np.sqrt(np.mean((found - values)[stint.of(name)] ** 2))) for name in names}


def prove_log(case: Case, garage: Garage) -> list[str]:
    """Believe and fit the practice, and foretell the race."""
    practice, race = (read_run_log(demo_folder() / f"run-{name}.csv") for name in ("practice", "race"))
    raced = collect_readings(race)
    stint = replace(raced, laps=STINT, stops=(), readings=tuple(one for one in raced.readings if one.lap <= STINT))
    belief = believe(case, Known(rows_of_log(collect_readings(practice), case)), garage)
    prior = weigh_belief(garage, Known(usual_rows()), "")
    still = np.zeros(len(PARAMETERS))
    fitted = put_fit(case, calibrate(case, practice).fit)
    told = {
        "as in the files": off(stint, leveled_answer(case, stint, still)[0]),
        "plausible cars": off(stint, [foretell(prior, one) for one in stint.readings]),
        "the fit": off(stint, leveled_answer(fitted, stint, still)[0]),
        "the belief": off(stint, [foretell(belief, one) for one in stint.readings]),
    }
    lines = [f"  {belief.cars} cars, {belief.fit.plain:.0f} effective, {belief.fit.effective:.0f} after tempering"]
    for name, misses in told.items():
        lines.append(f"  {name}: " + ", ".join(f"{what} {size:.3g}" for what, size in misses.items()) + " (SI)")
    return lines
