"""The three phases of a corner as the driver makes them: what the tires are asked for and how the body moves.

A phase is a demand for tire force, never an acceleration: what the car then does follows from its tires.
Every value here is an assumption about an ordinary lap; a case or a driving habit may change it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.physics.values import Array

LIMIT_USED = 0.97
"""Share of the limit an ordinary driver uses; he keeps the rest in hand. Assumption: nobody publishes it. Between 0.95
and 0.99 a run comes out nearly the same; at 1 the slip of an axle goes as the root of the grip it has left."""


@dataclass(frozen=True, eq=False)
class Phases:
    """Demands of entry, middle, exit along the first axis; arrays (3, 1, 1) that broadcast over ends and cars.

    brake, drive: force over weight on the scales. roll_rate: body rolling to the right [rad/s]. pitch_rate: nose going
    down [rad/s]. yaw_acceleration: turning in + [rad/s2].
    """

    brake: Array
    drive: Array
    roll_rate: Array
    pitch_rate: Array
    yaw_acceleration: Array


def usual_phases(
    brake: float = 0.38, middle_drive: float = 0.0, drive: float = 0.25, ramp: float = 1.0, brake_ramp: float = 1.0
) -> Phases:
    """Give the demands of an ordinary lap.

    brake 0.38 of the weight while turning in, coasting in the middle, drive 0.25 of the weight at pick-up; body rates
    of a set taken in about half a second: 0.10 rad/s roll and 0.05 rad/s pitch on entry, 0.08 and 0.04 back on exit;
    yaw acceleration 0.35 and -0.25 rad/s2. All assumptions. ramp scales roll and yaw, brake_ramp the pitch.
    """

    def column(*values: float) -> Array:
        return np.array(values).reshape(3, 1, 1)

    return Phases(
        brake=column(brake, 0.0, 0.0),
        drive=column(0.0, middle_drive, drive),
        roll_rate=column(0.10 * ramp, 0.0, -0.08 * ramp),
        pitch_rate=column(0.05 * brake_ramp, 0.0, -0.04 * brake_ramp),
        yaw_acceleration=column(0.35 * ramp, 0.0, -0.25 * ramp),
    )
