"""Where the front wheels must point to roll a circle without slip."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from assistant.physics.values import Array, Real


def rolling_angles(wheelbase: Real, track: Real, radius: Real) -> tuple[Array, Array]:
    """Find the angles at which both front wheels roll freely: atan(L / (R -+ t/2)), as (inner, outer) [rad].

    wheelbase L, track t [m]; radius R [m] to the middle of the rear axle. Ackermann geometry, very low speed.
    """
    inner = np.arctan(wheelbase / np.asarray(radius - track / 2.0))
    outer = np.arctan(wheelbase / np.asarray(radius + track / 2.0))
    return inner, outer
