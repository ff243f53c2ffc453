"""One number for every phase of the corner and every stage of the run: read like a table, reckoned with like a number.

Plain tuples, so that commands which compute nothing do without numpy.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from assistant.ground.names import PHASES, STAGES

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, eq=False)
class Grid(Mapping[str, Mapping[str, float]]):
    """cells: a row for every phase with a number for every stage: `grid["exit"]["worn"]`."""

    cells: tuple[tuple[float, ...], ...]
    phases: tuple[str, ...] = PHASES
    stages: tuple[str, ...] = STAGES

    @classmethod
    def of(cls, rows: Mapping[str, Mapping[str, float]]) -> Grid:
        """Make a grid of rows that are named already, all with the same stages."""
        stages = tuple(next(iter(rows.values()), {}))
        return cls(tuple(tuple(row[stage] for stage in stages) for row in rows.values()), tuple(rows), stages)

    @classmethod
    def level(cls, values: Mapping[str, float]) -> Grid:
        """Make a grid with one number for every phase, the same all through the run."""
        return cls(tuple((value,) * len(STAGES) for value in values.values()), tuple(values))

    @classmethod
    def of_array(cls, cells: NDArray[np.float64]) -> Grid:
        """Name the cells of an array (stages, phases)."""
        return cls(tuple(map(tuple, cells.T.tolist())))

    def array(self) -> NDArray[np.float64]:
        """The cells as an array (stages, phases)."""
        import numpy as np  # noqa: PLC0415 - only where arrays are wanted

        return np.array(self.cells).T

    def map(self, change: Callable[[float], float]) -> Grid:
        """The grid with every number changed in the same way."""
        return Grid(tuple(tuple(map(change, row)) for row in self.cells), self.phases, self.stages)

    def __add__(self, other: Grid) -> Grid:
        """Add cell by cell."""
        return self._with(other, lambda one, two: one + two)

    def __sub__(self, other: Grid) -> Grid:
        """Subtract cell by cell."""
        return self._with(other, lambda one, two: one - two)

    def __mul__(self, factor: float) -> Grid:
        """Multiply every number."""
        return self.map(lambda value: factor * value)

    __rmul__ = __mul__

    def __getitem__(self, phase: str) -> Mapping[str, float]:
        """The row of a phase."""
        return self._rows[phase]

    def __iter__(self) -> Iterator[str]:
        """The phases in order."""
        return iter(self.phases)

    def __len__(self) -> int:
        """How many phases there are."""
        return len(self.phases)

    @cached_property
    def _rows(self) -> Mapping[str, Mapping[str, float]]:
        rows = (dict(zip(self.stages, row, strict=True)) for row in self.cells)
        return dict(zip(self.phases, rows, strict=True))

    def _with(self, other: Grid, both: Callable[[float, float], float]) -> Grid:
        """Take two grids together; only grids of the same phases and stages go together."""
        if (self.phases, self.stages) != (other.phases, other.stages):
            raise ValueError(f"these grids are not alike: {self.stages} and {other.stages}")
        rows: Sequence[tuple[float, ...]] = [
            tuple(map(both, one, two)) for one, two in zip(self.cells, other.cells, strict=True)
        ]
        return Grid(tuple(rows), self.phases, self.stages)
