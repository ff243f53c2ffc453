"""The track: two ends, two straights, and the air, in SI units. Left turns are positive."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class End:
    """One end of the oval: radius of the driven line [m], bank [rad], length of the turn [m], straight after it [m]."""

    id: str
    radius: float
    bank: float
    length: float
    straight: float


@dataclass(frozen=True)
class Track:
    """grip: multiplies every tire's grip. air_density [kg/m3], air_temperature and track_temperature [K]."""

    name: str
    ends: tuple[End, ...]
    grip: float
    air_density: float
    air_temperature: float
    track_temperature: float
    guessed: frozenset[str] = field(default_factory=frozenset)

    @property
    def lap_length(self) -> float:
        """Length of one lap [m]."""
        return sum(end.length + end.straight for end in self.ends)
