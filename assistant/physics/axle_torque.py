"""What the torque of the propeller shaft does to the wheel loads of a car with a solid rear axle.

The shaft presses the left rear wheel down through the axle and lifts the left of the body through the engine mounts.
Both halves together put no roll moment on the car; they only add cross weight.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from assistant.physics.values import Array, Real


def cross_load(drive_force: Real, rolling_radius: Real, axle_ratio: Real, track: Real, front_roll_share: Real) -> Array:
    """Find the load [N] the drive adds to the RF and to the LR and takes from the LF and the RR: F r / N x phi_f / t.

    drive_force F of both rear tires [N]; rolling_radius r [m]; axle_ratio N: shaft turns per wheel turn; track t [m],
    the same at both ends; front_roll_share phi_f: front roll stiffness over the whole car's, 0 to 1. For an engine
    turning the usual way (clockwise from the front) and links that are alike left and right. Zero when coasting.
    Range: tires taken as rigid; soft ones leave K_t / (K_t + K_s) of it, K_t and K_s the roll stiffness of the rear
    tires and of the rear springs.
    Source: T. D. Gillespie, Fundamentals of Vehicle Dynamics, ch. 2 (from memory), and derived again here.
    """
    return np.asarray(drive_force * rolling_radius / axle_ratio * front_roll_share / track)
