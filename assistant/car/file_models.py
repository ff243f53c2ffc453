"""What the car, tire, track, rulebook, setup and case files may hold: pydantic models made from the tables of keys.

Models only: places in the file and words for mistakes come from `explain`, SI records from `files`.
A model is made once per unit system, since that decides what a bare number means.
"""

from collections.abc import Callable, Iterable
from functools import lru_cache, partial
from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import Field, PlainValidator, ValidationInfo, create_model

from assistant.car.file_keys import (
    CAR_KEYS,
    END_KEYS,
    ENGINE_KEYS,
    GEAR,
    LAP_TIME_KEY,
    MEASURED_KEYS,
    POWER,
    TIRE_KEYS,
    TRACK_KEYS,
    TREAD_KEY,
)
from assistant.car.keys import CORNER_KEYS, Key, key, read_key
from assistant.car.lever_rows import SETUP_KEYS, Rows, limit_paths
from assistant.car.setup import LeverLimit
from assistant.ground.read_model import Block, NumberOrText
from assistant.ground.units import Amount, System, UnitProblem, read, unit_of

REFERENCES = ("car", "tire", "track", "rulebook", "setup")
"""The other files a case names."""
When = Literal["pit stop", "between runs", "shop"]
LAPS_KEY = key("laps", "laps", "laps", "1", "2000", "Laps of the measured run.", "a run is as long as the tank allows")
FIT_FIELDS = (
    "wear_rate",
    "heat_share",
    "hysteresis",
    "cooling_still",
    "cooling_speed",
    "gas_lag",
    "gas_share",
    "worn_grip",
    "fuel_use",
)
FIT_KEYS: tuple[Key, ...] = tuple(one for one in (*TIRE_KEYS, *ENGINE_KEYS) if one.field in FIT_FIELDS)
"""What a run log can teach: keys of the tire file, and the engine's fuel use."""
OWN_LEVERS = "own levers"
"""Block of a setup file for levers of a team's own; what a value means, only that team's rules can tell."""
RUN_KEY = key("run", "run_laps", "laps", "1", "2000", "Laps between stops.", "a run is as long as the tank allows")


FilePart = tuple[Any, Any]
"""One value of a model to be made: its type, and its default, `...` for a value that is needed."""
Tree = dict[str, "FilePart | Tree"]
"""Blocks inside blocks as in the file; the leaves are parts."""

MOST_STEPS = 250
"""Steps from one end of a range to the other; a tenth of a psi or a twentieth of a percent is coarser than this."""
NEARLY = 1e-6
"""Share of a step that is lost to rounding between units."""
TOO_FINE = f"the step is too fine: more than {MOST_STEPS} of them lie between 'from' and 'to'"


def _read_of_lever(raw: object, info: ValidationInfo) -> Amount:
    one, system = info.context  # type: ignore[misc]
    return read_key(one, raw, system)


def _read_step(raw: object, info: ValidationInfo) -> Amount:
    if isinstance(raw, bool) or not isinstance(raw, str | int | float):
        raise UnitProblem("one value is wanted here", "the smallest change that can be made")
    one, system = info.context  # type: ignore[misc]
    return read(raw, one.kind, default_unit=unit_of(one.kind, system))


def too_fine(low: float, high: float, step: float) -> bool:
    """Whether a range has more steps than are worth trying."""
    return high - low > MOST_STEPS * step * (1.0 + NEARLY)


class LimitModel(Block):
    """What a rulebook says of one lever: a range with its smallest step, or a list of parts.

    One model for all levers; whose key it is and what bare numbers mean comes as the context, (Key, System).
    """

    low: Annotated[Any, PlainValidator(_read_of_lever)] = Field(default=None, alias="from")
    high: Annotated[Any, PlainValidator(_read_of_lever)] = Field(default=None, alias="to")
    step: Annotated[Any, PlainValidator(_read_step)] = None
    parts: Annotated[list[Annotated[Any, PlainValidator(_read_of_lever)]], Field(min_length=1, max_length=100)] = Field(
        default_factory=list
    )
    when: When = "shop"

    def limit(self) -> LeverLimit:
        """Make the limit of either parts or a whole range that is the right way round; UnitProblem for neither."""
        if self.parts:
            if any((self.low, self.high, self.step)):
                raise UnitProblem("parts and a range are both given", "keep 'parts', or 'from', 'to' and 'step'")
            parts = tuple(sorted({reading.value for reading in self.parts}))
            gaps = [later - earlier for earlier, later in pairwise(parts)]
            return LeverLimit(parts[0], parts[-1], min(gaps, default=0.0), self.when, parts)
        if self.low is None or self.high is None or self.step is None:
            raise UnitProblem(
                "'from', 'to' and 'step' are wanted, or 'parts'", "for example {from: 1, to: 2, step: 0.5}"
            )
        low, high, step = self.low.value, self.high.value, self.step.value
        if step <= 0:
            raise UnitProblem("the step must be more than nothing", "write the smallest change that can be made")
        if low > high:
            raise UnitProblem("'from' is more than 'to'", "turn them round")
        if too_fine(low, high, step):
            raise UnitProblem(TOO_FINE, "write the smallest change anybody would make")
        return LeverLimit(low, high, step, self.when)


@lru_cache
def model_of(file_kind: str, system: System = "trade", rows: Rows = SETUP_KEYS) -> type[Block]:
    """Give the model of a file: car, tire, track, rulebook, setup, case or fit.

    system: what bare numbers mean. rows: those a setup or a rulebook is written by.
    """
    trees: dict[str, Callable[[System], Tree]] = {
        "car": _car,
        "tire": partial(_tree, TIRE_KEYS),
        "track": _track,
        "rulebook": partial(_rulebook, rows),
        "setup": partial(_setup, rows),
        "case": _case,
        "fit": _fit,
    }
    name = Annotated[str, Field(min_length=1, max_length=80)]
    head: Tree = {file_kind: (name, ...), "units": (Literal["trade", "si"], "trade")}
    made = _model(file_kind, {**head, **trees[file_kind](system), "notes": (str, "")})
    made.as_written = (file_kind, *REFERENCES, "fit")
    return made


def look_up(model: object, path: Iterable[str]) -> Any:
    """Get a value of a model by its path in the file; None when a part is left out."""
    for part in path:
        model = getattr(model, part, None)
    return model


def _model(name: str, tree: Tree) -> type[Block]:
    parts = {word: _block(word, part) if isinstance(part, dict) else part for word, part in tree.items()}
    made: type[Block] = create_model(name, __base__=Block, **parts)  # type: ignore[call-overload]
    return made


def _block(word: str, tree: Tree) -> FilePart:
    """Make a block; it may be left out when everything in it may."""
    inner = _model(word, tree)
    needed = any(one.is_required() for one in inner.model_fields.values())
    return inner, ... if needed else Field(default_factory=inner)


def _value(one: Key, system: System) -> Any:
    """Type of one value of a key."""
    return Annotated[Any, PlainValidator(partial(read_key, one, system=system))]


def _leaf(one: Key, system: System, *, optional: bool) -> FilePart:
    if optional or one.unknown:
        return (_value(one, system), None)
    if one.default is None:
        return (_value(one, system), ...)
    return (_value(one, system), Amount(read_key(one, one.default, system).value, guessed=True))


def _tree(keys: Iterable[Key], system: System, *, optional: bool = False) -> Tree:
    """Nest the values of keys by their paths."""
    top: Tree = {}
    for one in keys:
        made = _leaf(one, system, optional=optional)
        _hang(top, one.path, dict.fromkeys(one.members, made) if one.members else made)
    return top


def _hang(top: Tree, path: tuple[str, ...], what: FilePart | Tree) -> None:
    for name in path[:-1]:
        inner = top.setdefault(name, {})
        assert isinstance(inner, dict), f"{path} runs through a value"  # noqa: S101 - a slip in our own tables
        top = inner
    top[path[-1]] = what


def _car(system: System) -> Tree:
    tree = _tree((*CAR_KEYS, *ENGINE_KEYS), system)
    _hang(tree, POWER.path, (Annotated[Any, PlainValidator(partial(_read_curve, system))], ...))
    _hang(tree, GEAR.path, (_several(GEAR, system, 1, 12), ...))
    return tree


def _several(one: Key, system: System, fewest: int, most: int) -> Any:
    """Type of a list of values of a key."""
    return Annotated[list[_value(one, system)], Field(min_length=fewest, max_length=most)]  # type: ignore[misc]


def _track(system: System) -> Tree:
    end: Any = _model("end", {"end": (str, ""), **_tree(END_KEYS, system)})
    return {**_tree(TRACK_KEYS, system), "ends": (Annotated[list[end], Field(min_length=1, max_length=8)], ...)}


def _setup(rows: Rows, system: System) -> Tree:
    own: FilePart = (dict[str, NumberOrText], Field(default_factory=dict))
    return {"car": (str, ""), **_tree(rows, system), OWN_LEVERS: own}


def _rulebook(rows: Rows, system: System) -> Tree:
    top: Tree = {}
    for row in rows:
        limit = (Annotated[LimitModel, PlainValidator(partial(_read_limit, row, system))], None)
        for path in limit_paths(row):
            _hang(top, path, limit)
    return top


def _read_limit(one: Key, system: System, raw: object) -> LeverLimit:
    return LimitModel.model_validate(raw, context=(one, system)).limit()


def _case(system: System) -> Tree:
    treads = (_several(TREAD_KEY, system, 3, 3), None)
    measured: Tree = {
        "laps": (_value(LAPS_KEY, system), None),
        "temperatures": dict.fromkeys(CORNER_KEYS, treads),
        **_tree(MEASURED_KEYS, system, optional=True),
        "lap times": (_several(LAP_TIME_KEY, system, 1, 2000), Field(default_factory=list)),
    }
    name = (Annotated[str, Field(min_length=1)], ...)
    return {
        **dict.fromkeys(REFERENCES, name),
        "run": (_value(RUN_KEY, system), ...),
        "driver says": (str, ""),
        "answers": (dict[str, NumberOrText], Field(default_factory=dict)),
        "measured": measured,
        "at hand": (When, "shop"),
        "fit": (str, ""),
        "id": (str, ""),
    }


def _fit(system: System) -> Tree:
    return {"tire": (str, ""), "log": (str, ""), **_tree(FIT_KEYS, system, optional=True)}


def _read_curve(system: System, raw: object) -> tuple[tuple[float, float], ...]:
    """Read {3500 rpm: 240 hp, ...} into rising (rpm, W)."""
    if not isinstance(raw, dict) or len(raw) < 2:
        raise UnitProblem("at least two lines 'rpm: power' are wanted", "for example 3500 rpm: 240 hp")
    points = []
    for speed, power in raw.items():
        try:
            points.append((read(speed, "rpm").value, read_key(POWER, power, system).value))
        except UnitProblem as wrong:
            raise UnitProblem(f"at '{speed}': {wrong.says}", wrong.hint) from None
    if points[0][0] < 0.0:
        raise UnitProblem("no engine turns backward", "write the speeds without a sign")
    if any(later[0] <= earlier[0] for earlier, later in pairwise(points)):
        raise UnitProblem("the speeds of the curve do not rise from line to line", "sort them, slowest first")
    return tuple(points)
