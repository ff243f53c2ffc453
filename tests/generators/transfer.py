"""Prints the table of docs/model.md, section Calibration: fit one log of the demo, predict the other.

Run: python -m tests.generators.transfer
"""

from __future__ import annotations

from assistant.belief.log_fit import calibrate
from assistant.belief.log_readings import Agreement, Compared, agree, collect_readings, foretell
from assistant.car.case import Case, put_fit
from assistant.car.files import read_case
from assistant.car.run_log import RunLog
from assistant.car.run_log_file import read_run_log
from assistant.ground.quantities import LOG_KINDS
from assistant.ground.units import show

PLACES = {"lap time": 3, "wear": 4}


def transfer(learn: str, meet: str) -> list[tuple[str, str, str]]:
    """Quantity, misfit before and after, of log `meet` with what log `learn` taught, or "refused"."""
    demo, log = read_case("demo"), read_run_log(meet)
    fit = calibrate(demo, read_run_log(learn)).fit
    if fit is None:
        return [(one.quantity, say(one), "refused") for one in meet_log(demo, log)]
    pairs = zip(meet_log(demo, log), meet_log(put_fit(demo, fit), log), strict=True)
    return [(one.quantity, say(one), say(two)) for one, two in pairs]


def meet_log(case: Case, log: RunLog) -> tuple[Agreement, ...]:
    """How far a case, as it is, is off a log, without fitting anything; lap times by their shape."""
    readings = collect_readings(log)
    answers, _ = foretell(case, readings)
    return tuple(agree([Compared(one, value, value) for one, value in zip(readings.readings, answers, strict=True)]))


def say(one: Agreement) -> str:
    """Misfit of a quantity with its unit."""
    return show(one.after, LOG_KINDS[one.quantity], places=PLACES.get(one.quantity, 2))


def table() -> str:
    """All rows of the table."""
    there, back = transfer("run-practice", "run-race"), transfer("run-race", "run-practice")
    return "\n".join(f"| {' | '.join((*one, *other[1:]))} |" for one, other in zip(there, back, strict=True))


if __name__ == "__main__":
    print(table())
