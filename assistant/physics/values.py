"""What the formulas of this package are written in: plain numbers or arrays of them, in SI units."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Real: TypeAlias = float | Array
"""A float or an array of floats; arrays of different shapes combine by numpy broadcasting."""

GRAVITY = 9.80665
"""Standard acceleration of free fall [m/s^2], by definition (third General Conference on Weights and Measures)."""
