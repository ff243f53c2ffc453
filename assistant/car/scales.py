"""Corner weights and the three shares they are known by; any unit of weight, as long as it is one.

Shares: nose = (LF+RF)/W, left = (LF+LR)/W, cross = (RF+LR)/W. Bite = LR - RR.
Source of the definitions: hotrod.com, "About Load Distribution" and "Performance Crossweight and Balance
Configuration"; left and rear share: D. Alexander, "Understanding Corner Weights", Grassroots Motorsports.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from assistant.car.car import CORNERS, Four
from assistant.ground.words import CORNER_WORDS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Number = TypeVar("Number", float, "NDArray[np.float64]")


@dataclass(frozen=True)
class Shares:
    """Front, left and RF+LR share of the weight, 0 to 1."""

    nose: float
    left: float
    cross: float


def corner_loads(weight: float, shares: Shares) -> Four:
    """Corner loads (LF, RF, LR, RR) of a car on its scales, in the unit of `weight`.

    LF = (n+l-c)W/2, RF = (n-l+c)W/2, LR = (l+c-n)W/2, RR = (2-n-l-c)W/2: the three definitions and the sum,
    solved by hand. May come out negative: see `lifted_corners`.
    """
    return loads_of_shares(weight, shares.nose, shares.left, shares.cross)


def loads_of_shares(weight: Number, nose: Number, left: Number, cross: Number) -> tuple[Number, Number, Number, Number]:
    """Do the same for plain numbers or for arrays of them, shares one by one."""
    half = weight / 2
    return (
        (nose + left - cross) * half,
        (nose - left + cross) * half,
        (left + cross - nose) * half,
        (2 - nose - left - cross) * half,
    )


def shares_of(loads: Four) -> Shares:
    """Shares of four corner loads. Raises ValueError when they add up to nothing or less."""
    lf, rf, lr, rr = loads
    weight = lf + rf + lr + rr
    if weight <= 0:
        raise ValueError("four corner loads must add up to more than nothing")
    return Shares((lf + rf) / weight, (lf + lr) / weight, (rf + lr) / weight)


def bite_of(loads: Four) -> float:
    """LR less RR, in the unit of the loads."""
    return loads[2] - loads[3]


def lifted_corners(shares: Shares) -> tuple[tuple[str, str, float], ...]:
    """Wheels that these shares would lift from the scales at rest: (LF.., its name, share of the weight missing)."""
    loads = corner_loads(1.0, shares)
    return tuple(
        (corner, name, -load)
        for corner, name, load in zip(CORNERS, CORNER_WORDS.values(), loads, strict=True)
        if load <= 0
    )
