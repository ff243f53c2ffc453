"""The demo's own cars as believed before anything is said, and what their levers do, worked out once for all tests."""

from collections.abc import Sequence
from functools import cache

from assistant.belief.effects import effect_table
from assistant.belief.garage import open_garage
from assistant.belief.model import Model, read_beside
from assistant.belief.picture import Told, believe_told
from assistant.belief.whole_run import Forecast, drive_setups, read_forecasts
from assistant.car.case import Setup
from assistant.car.files import read_case
from assistant.diagnosis.session import start
from assistant.physics.heat_and_wear import Stop
from assistant.rules.pack import load_packs


def believe_case(case, complaint=None):
    """Believe what a driver says of the car of a case, or the complaint of the case."""
    said = start(case, load_packs()).complaint if complaint is None else complaint
    return believe_told(case, [Told(case.setup, said)], open_garage(case))


@cache
def demo_table():
    """What every lever does on the demo, with no complaint said."""
    case = read_case("demo")
    return effect_table(case, believe_told(case, [], open_garage(case)))


# The run ahead of the plain car: what the physics has before anybody believes anything of it.


def forecast_setups(
    model: Model, setups: Sequence[Setup], stops: Sequence[Stop] = (), laps: int | None = None
) -> tuple[Forecast, ...]:
    """Forecast every setup over the case's run (or `laps`), with what a run log says tires do beside the model."""
    return read_forecasts(model, read_beside(drive_setups(model, setups, stops, laps)))
