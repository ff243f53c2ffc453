"""The one table of names: parts of the corner, stages of the run, corners of the car, and words for chances.

Files and results hold ids; screens say the words behind them. A word for a chance never stands without its number: of
924 readers 66 per cent took a word with its number right, 32 per cent a bare word (Wintle and others 2019).

And what goes with names: a number for every phase and stage (plain tuples, so that commands which compute nothing do
without numpy), the nearest spelling of a name, and the few bits of grammar that messages need.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cached_property
from typing import TYPE_CHECKING, Literal, TypeVar, get_args

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Phase = Literal["entry", "middle", "exit"]
PHASES: tuple[str, ...] = get_args(Phase)
PHASE_WORDS: Mapping[str, str] = {"entry": "getting in", "middle": "in the middle", "exit": "coming off"}
"""Where in the corner, as every screen and page says it."""
PHASE_LETTERS: Mapping[str, str] = {"entry": "i", "middle": "m", "exit": "o"}
"""What draws the line of a phase where there are only letters."""

Entry = TypeVar("Entry")
Stage = Literal["fresh", "settled", "worn"]
STAGES: tuple[str, ...] = get_args(Stage)
SETTLED = STAGES.index("settled")
"""Place of the stage at which a car has come in."""
STAGE_WORDS: Mapping[str, str] = {"fresh": "on fresh tires", "settled": "once settled", "worn": "late in the run"}
"""When in the run."""
STAGE_SHORT: Mapping[str, str] = {"fresh": "fresh", "settled": "settled", "worn": "late"}
"""The same in one word, as answers have it."""
_SEVERAL_STAGES = {
    ("fresh", "settled", "worn"): "all run long",
    ("fresh", "settled"): "until the tires are worn",
    ("settled", "worn"): "from the settled laps on",
}

CornerKey = Literal["lf", "rf", "lr", "rr"]
CORNER_KEYS: tuple[str, ...] = get_args(CornerKey)
"""Corners of the car in files, in this order everywhere."""
CORNERS = tuple(corner.upper() for corner in CORNER_KEYS)
CORNER_WORDS: Mapping[str, str] = {"LF": "left front", "RF": "right front", "LR": "left rear", "RR": "right rear"}
ZONES = ("inside", "middle", "outside")
"""Of a tread, in this order everywhere; inside faces the middle of the car."""
SIDES: Mapping[str, tuple[str, ...]] = {
    "left": ("LF", "LR"),
    "right": ("RF", "RR"),
    "front": ("LF", "RF"),
    "rear": ("LR", "RR"),
}
_SIDE, _END = "(?:left|lft|right|rite|rght|rt)", "(?:front|frnt|frt|rear)"
_CORNER = re.compile(
    rf"(?<![a-z])([lr][fr]|f[lr]|rl|{_SIDE}[ -]*{_END}|{_END}[ -]*{_SIDE})(?![a-z])",
    re.IGNORECASE,
)

CHANCE_WORDS: tuple[tuple[float, str], ...] = (
    (0.95, "sure"),
    (0.75, "likely"),
    (0.55, "more likely than not"),
    (0.0, "depends"),
)
"""The least chance at which each word is used."""


def where_words(phases: Sequence[str]) -> str:
    """Say places in the corner: "getting in and coming off", "all through the corner"."""
    if set(phases) >= set(PHASE_WORDS):
        return "all through the corner"
    return listed([PHASE_WORDS.get(phase, phase) for phase in phases])


def when_words(stages: Sequence[str]) -> str:
    """Say stages of the run: "on fresh tires and late in the run", "all run long"."""
    ordered = tuple(stage for stage in STAGE_WORDS if stage in stages)
    return _SEVERAL_STAGES.get(ordered) or listed([STAGE_WORDS.get(stage, f"on {stage} tires") for stage in stages])


def part_at_corners(text: str) -> tuple[str, list[tuple[str, str]]]:
    """Part a text at the corners it names: what stands before the first, then each corner and what stands behind.

    Corners as people write them: "LF 690, RF 640", "front right 640".
    """
    before, *parts = _CORNER.split(text)
    pairs = zip(parts[::2], parts[1::2], strict=True)
    return before, [(_corner(name), behind.strip(" ,;:=")) for name, behind in pairs]


def _corner(name: str) -> str:
    """The corner of a name that may have its end first; of the letters one is of the side and one of the end."""
    words = re.findall(f"{_SIDE}|{_END}", name.lower())
    letters = "".join(word[0] for word in words) or name.lower()
    return {"fl": "LF", "fr": "RF", "rl": "LR"}.get(letters, letters.upper())


def corners_as(words: Mapping[str, str], text: str) -> str:
    """Write each corner a text names by these words of it."""
    return _CORNER.sub(lambda found: words[_corner(found[0])], text)


def chance_word(chance: float) -> str:
    """Return the word for a chance between 0 and 1."""
    return next(word for least, word in CHANCE_WORDS if chance >= least or least == 0.0)


def sayable(share: float, cars: int) -> float:
    """Cut a share of plausible cars to what so many of them can carry: all of 64 says no more than 63 of 64."""
    return min(share, 1.0 - 1.0 / cars)


def stands_out(chance: float) -> bool:
    """Say whether something is more likely than not, the weakest word that takes a side."""
    return chance >= CHANCE_WORDS[-2][0]


def say_chance(chance: float) -> str:
    """Say a chance with its number: "likely (about 8 in 10)"."""
    return f"{chance_word(chance)} ({say_number(chance)})"


def say_number(chance: float) -> str:
    """Say a chance as a plain frequency. Near the ends tenths say too little, so hundredths are used."""
    if chance >= 0.995:
        return "more than 99 in 100"
    if chance < 0.005:
        return "less than 1 in 100"
    if chance >= 0.945 or chance < 0.055:
        return f"about {round(100 * chance)} in 100"
    return f"about {round(10 * chance)} in 10"


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


MOST_QUOTED = 60
"""Letters of what was typed that are said back: enough to know it by."""
MOST_SHOWN = 8
"""How many allowed words a hint lists before it says how many more there are."""
RENAMED = {
    "ballast_height": "ballast_rise",
    "bump_lf": "compression_lf",
    "bump_lr": "compression_lr",
    "bump_rf": "compression_rf",
    "bump_rr": "compression_rr",
    "front_bar_preload": "bar_screw",
    "front_downforce": "nose_tape",
    "front_roll_centre": "front_roll_center",
    "fuel_start": "fuel_at_green",
    "steering_ratio": "steering_box",
}
"""Levers that were called otherwise once: the old name to the one that counts."""
_ALSO_CALLED = {"center": "middle", "centre": "middle"}
"""What the trade calls otherwise than the files do."""
LONGEST_COMPARED = 60
"""Longer words are never a slip of a shorter one; comparing them would only cost time."""


def nearest(word: str, allowed: Iterable[str]) -> str | None:
    """Find the allowed word that `word` was most likely meant to be, or None when nothing is close.

    Case, spaces, hyphens and underscores do not count: "Track-Bar Right" is near "track_bar_right".
    """
    if len(word) > LONGEST_COMPARED:
        return None
    plain = {_plain(one): one for one in allowed}
    wanted = _plain(word)
    if wanted in plain:
        return plain[wanted]
    if close := get_close_matches(wanted, plain, n=1, cutoff=0.7):
        return plain[close[0]]
    swapped = [one for one in plain if len(one) > 1 and sorted(one) == sorted(wanted)]
    return plain[swapped[0]] if len(swapped) == 1 else None  # short words with two letters swapped, such as dge


def did_you_mean(word: str, allowed: Iterable[str]) -> str:
    """Give the hint for a wrong word: its new name, the nearest one, else the list of allowed ones."""
    choices = list(allowed)
    plain = _plain(word).replace(" ", "_")
    if (renamed := RENAMED.get(plain, _ALSO_CALLED.get(plain))) in choices:
        return f"it is called '{renamed}' now"
    old, space, way = word.partition(" ")
    if space and old in RENAMED:
        return f"it is called '{RENAMED[old]} {way}' now"
    found = nearest(word, choices)
    if found is not None and found != word:
        return f"did you mean '{found}'?"
    if not choices:
        return ""
    return "allowed: " + list_words(choices)


def list_words(words: Iterable[str], most: int = MOST_SHOWN) -> str:
    """Join words with commas; after `most` of them say how many more there are."""
    choices = list(words)
    shown = ", ".join(choices[:most])
    left = len(choices) - most
    return f"{shown} and {left} more" if left > 0 else shown


def quoted(text: str) -> str:
    """Quote what somebody typed, in one line; a long one is cut."""
    plain = " ".join(text.split())
    return repr(plain if len(plain) <= MOST_QUOTED else f"{plain[:MOST_QUOTED].rstrip()} ...")


def with_article(noun: str) -> str:
    """Put "a" or "an" before a noun: "an angle", "a spring rate"."""
    return f"{'an' if noun[:1].lower() in 'aeio' else 'a'} {noun}"


def count_of(number: int, noun: str, plural: str = "") -> str:
    """Say how many: "1 problem", "2 problems", "3 boxes"."""
    return f"{number} {noun if number == 1 else plural or noun + 's'}"


def plain_id(name: str) -> str:
    """Return an id as conditions write it, where a hyphen would be a minus: "how-bad" and "how_bad" are one."""
    return name.replace("-", "_")


def entry_of(name: str, table: Mapping[str, Entry]) -> Entry | None:
    """Return what a table holds under an id, which may be written either way."""
    return table.get(name) or table.get(name.replace("_", "-"))


def _plain(word: str) -> str:
    return word.casefold().replace("_", " ").replace("-", " ").strip()


def listed(words: Sequence[str]) -> str:
    """Write a list as people do: "a, b and c"."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
