"""The run ahead of the plain car: what the physics has before anybody believes anything of it."""

from collections.abc import Sequence

from assistant.belief.model import Model, read_beside
from assistant.belief.whole_run import Forecast, drive_setups, read_forecasts
from assistant.car.case import Setup
from assistant.physics.heat_and_wear import Stop


def forecast_setups(
    model: Model, setups: Sequence[Setup], stops: Sequence[Stop] = (), laps: int | None = None
) -> tuple[Forecast, ...]:
    """Forecast every setup over the case's run (or `laps`), with what a run log says tires do beside the model."""
    return read_forecasts(model, read_beside(drive_setups(model, setups, stops, laps)))
