"""What the car, tire, track, rulebook, setup and case files may hold, and the SI records made of what they hold.

The models are pydantic's, made from the tables of keys; what a bare number means is told when a file is read, as the
context of pydantic's validation, a `System`. Words for mistakes come from `read_model`; no file is opened here. What is
left out and has a default counts as guessed, since the owner did not say it.
"""

from collections.abc import Callable, Iterable
from functools import lru_cache, partial
from itertools import pairwise
from typing import Annotated, Any, Literal, cast

from pydantic import Field, PlainValidator, ValidationInfo, create_model

from assistant.car import file_keys
from assistant.car.car import Car, End, Engine, Four, Tire, Track, shares_of
from assistant.car.case import Fit, LeverLimit, Measured, NotHere, Rulebook, Setup, When
from assistant.car.keys import (
    CORNER_WEIGHT_KEYS,
    LEVERS,
    ROW_OF,
    SETUP_KEYS,
    SHARE_LEVERS,
    Key,
    Rows,
    limit_paths,
    listed_name,
    read_key,
)
from assistant.ground.names import CORNER_KEYS, CORNERS, did_you_mean
from assistant.ground.read_model import FileBlock, NumberOrText
from assistant.ground.units import Amount, System, UnitProblem, read, unit_of

FilePart = tuple[Any, Any]
"""One value of a model to be made: its type, and its default, `...` for a value that is needed."""
Tree = dict[str, "FilePart | Tree"]
"""Blocks inside blocks as in the file; the leaves are parts."""

MOST_STEPS = 250
"""Steps from one end of a range to the other; a tenth of a psi or a twentieth of a percent is coarser than this."""
NEARLY = 1e-6
"""Share of a step that is lost to rounding between units."""
TOO_FINE = f"the step is too fine: more than {MOST_STEPS} of them lie between 'from' and 'to'"


def _read(one: Key, raw: object, info: ValidationInfo) -> Amount:
    return read_key(one, raw, cast("System", info.context))


def _read_of_lever(raw: object, info: ValidationInfo) -> Amount:
    one, system = cast("tuple[Key, System]", info.context)
    if info.field_name != "step":
        return read_key(one, raw, system)
    if isinstance(raw, bool) or not isinstance(raw, str | int | float):
        raise UnitProblem("one value is wanted here", "the smallest change that can be made")
    return read(raw, one.kind, default_unit=unit_of(one.kind, system))


_OfLever = Annotated[Any, PlainValidator(_read_of_lever)]


def too_fine(low: float, high: float, step: float) -> bool:
    """Whether a range has more steps than are worth trying."""
    return high - low > MOST_STEPS * step * (1.0 + NEARLY)


class LimitModel(FileBlock):
    """What a rulebook says of one lever: a range with its smallest step, or a list of parts.

    One model for all levers; whose key it is and what bare numbers mean comes as the context, (Key, System).
    """

    low: _OfLever = Field(default=None, alias="from")
    high: _OfLever = Field(default=None, alias="to")
    step: _OfLever = None
    parts: list[_OfLever] = Field(default_factory=list, min_length=1, max_length=100)
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
def model_of(file_kind: str, rows: Rows = SETUP_KEYS) -> type[FileBlock]:
    """Give the model of a file: car, tire, track, rulebook, setup, case or fit. rows: those a setup is written by."""
    trees: dict[str, Callable[[], Tree]] = {
        "car": _car,
        "tire": partial(_tree, file_keys.TIRE_KEYS),
        "track": _track,
        "rulebook": _rulebook,
        "setup": partial(_setup, rows),
        "case": _case,
        "fit": _fit,
    }
    name = Annotated[str, Field(min_length=1, max_length=80)]
    head: Tree = {file_kind: (name, ...), "units": (Literal["trade", "si"], "trade")}
    made = _model(file_kind, {**head, **trees[file_kind](), "notes": (str, "")})
    made.as_written = (file_kind, *file_keys.REFERENCES, "fit")
    return made


def look_up(model: object, path: Iterable[str]) -> Any:
    """Get a value of a model by its path in the file; None when a part is left out."""
    for part in path:
        model = getattr(model, part, None)
    return model


def _model(name: str, tree: Tree) -> type[FileBlock]:
    parts = {word: _block(word, part) if isinstance(part, dict) else part for word, part in tree.items()}
    made: type[FileBlock] = create_model(name, __base__=FileBlock, **parts)  # type: ignore[call-overload]
    return made


def _block(word: str, tree: Tree) -> FilePart:
    """Make a block; it may be left out when everything in it may."""
    inner = _model(word, tree)
    needed = any(one.is_required() for one in inner.model_fields.values())
    return inner, ... if needed else Field(default_factory=inner)


def _value(one: Key) -> Any:
    return Annotated[Any, PlainValidator(partial(_read, one))]


def _leaf(one: Key, *, optional: bool) -> FilePart:
    if optional or one.unknown:
        return (_value(one), None)
    if one.default is None:
        return (_value(one), ...)
    return (_value(one), Amount(read_key(one, one.default, "trade").value, guessed=True))


def _tree(keys: Iterable[Key], *, optional: bool = False) -> Tree:
    top: Tree = {}
    for one in keys:
        made = _leaf(one, optional=optional)
        _hang(top, one.path, dict.fromkeys(one.members, made) if one.members else made)
    return top


def _hang(top: Tree, path: tuple[str, ...], what: FilePart | Tree) -> None:
    for name in path[:-1]:
        inner = top.setdefault(name, {})
        assert isinstance(inner, dict), f"{path} runs through a value"  # noqa: S101 - a slip in our own tables
        top = inner
    top[path[-1]] = what


def _car() -> Tree:
    tree = _tree((*file_keys.CAR_KEYS, *file_keys.ENGINE_KEYS))
    _hang(tree, file_keys.POWER.path, (Annotated[Any, PlainValidator(_read_curve)], ...))
    _hang(tree, file_keys.GEAR.path, (_several(file_keys.GEAR, 1, 12), ...))
    return tree


def _several(one: Key, fewest: int, most: int) -> Any:
    return Annotated[list[_value(one)], Field(min_length=fewest, max_length=most)]  # type: ignore[misc]


def _track() -> Tree:
    end: Any = _model("end", {"end": (str, ""), **_tree(file_keys.END_KEYS)})
    return {
        **_tree(file_keys.TRACK_KEYS),
        "ends": (Annotated[list[end], Field(min_length=1, max_length=8)], ...),
    }


def _setup(rows: Rows) -> Tree:
    own: FilePart = (dict[str, NumberOrText], Field(default_factory=dict))
    return {"car": (str, ""), **_tree(rows), file_keys.OWN_LEVERS: own}


def _rulebook() -> Tree:
    top: Tree = {}
    for row in SETUP_KEYS:
        limit = (Annotated[LimitModel, PlainValidator(partial(_read_limit, row))], None)
        for path in limit_paths(row):
            _hang(top, path, limit)
    return top


def _read_limit(one: Key, raw: object, info: ValidationInfo) -> LeverLimit:
    return LimitModel.model_validate(raw, context=(one, info.context)).limit()


def _case() -> Tree:
    treads = (_several(file_keys.TREAD_KEY, 3, 3), None)
    measured: Tree = {
        "laps": (_value(file_keys.LAPS_KEY), None),
        "temperatures": dict.fromkeys(CORNER_KEYS, treads),
        **_tree(file_keys.MEASURED_KEYS, optional=True),
        "lap times": (_several(file_keys.LAP_TIME_KEY, 1, 2000), Field(default_factory=list)),
    }
    name = (Annotated[str, Field(min_length=1)], ...)
    not_here = Annotated[Any, PlainValidator(lambda raw, info: read_not_here(raw, info.context))]
    return {
        **dict.fromkeys(file_keys.REFERENCES, name),
        "run": (_value(file_keys.RUN_KEY), ...),
        "driver says": (str, ""),
        "answers": (dict[str, NumberOrText], Field(default_factory=dict)),
        "measured": measured,
        "at hand": (When, "shop"),
        file_keys.NOT_HERE: (list[not_here], Field(default_factory=list)),
        "fit": (str, ""),
        "id": (str, ""),
    }


def read_not_here(raw: object, system: System) -> NotHere:
    """Read what a car has not: a lever by its name, or one value of it behind the name, "RR spring 225 lb/in"."""
    text, names = str(raw).strip(), {listed_name(lever).casefold(): lever for lever in LEVERS}
    plain = f"{text.casefold()} "
    name = max((name for name in names if plain.startswith(f"{name} ")), key=len, default="")
    if not name:
        raise UnitProblem(f"no lever is called '{text}'", did_you_mean(text, names))
    rest = text[len(name) :].strip()
    return NotHere(names[name], read_key(ROW_OF[names[name]], rest, system).value if rest else None)


def _fit() -> Tree:
    keys = (*file_keys.FIT_KEYS, *file_keys.LEFT_KEYS, *file_keys.BESIDE_KEYS)
    return {"tire": (str, ""), "log": (str, ""), **_tree(keys, optional=True)}


def _read_curve(raw: object, info: ValidationInfo) -> tuple[tuple[float, float], ...]:
    """Read {3500 rpm: 240 hp, ...} into rising (rpm, W)."""
    if not isinstance(raw, dict) or len(raw) < 2:
        raise UnitProblem("at least two lines 'rpm: power' are wanted", "for example 3500 rpm: 240 hp")
    points = []
    for speed, power in raw.items():
        try:
            points.append((read(speed, "rpm").value, _read(file_keys.POWER, power, info).value))
        except UnitProblem as wrong:
            raise UnitProblem(f"at '{speed}': {wrong.says}", wrong.hint) from None
    if points[0][0] < 0.0:
        raise UnitProblem("no engine turns backward", "write the speeds without a sign")
    if any(later[0] <= earlier[0] for earlier, later in pairwise(points)):
        raise UnitProblem("the speeds of the curve do not rise from line to line", "sort them, slowest first")
    return tuple(points)


def make_car(model: object) -> Car:
    """Make the car of a checked file."""
    values, guessed = collect(model, file_keys.CAR_KEYS)
    engine, guessed_engine = collect(model, file_keys.ENGINE_KEYS)
    curve = look_up(model, file_keys.POWER.path)
    values["fuel_on_scales"] *= values["fuel_density"]
    return Car(
        name=look_up(model, ("car",)),
        **values,
        engine=Engine(
            rpm=tuple(speed for speed, _ in curve),
            power=tuple(power for _, power in curve),
            gears=_values_of(look_up(model, file_keys.GEAR.path)),
            **engine,
        ),
        guessed=guessed | guessed_engine,
    )


def make_tire(model: object) -> Tire:
    """Make the tire of a checked file."""
    values, guessed = collect(model, file_keys.TIRE_KEYS)
    return Tire(name=look_up(model, ("tire",)), **values, guessed=guessed)


def make_track(model: object) -> Track:
    """Make the track of a checked file; a single end stands for two alike."""
    values, guessed = collect(model, file_keys.TRACK_KEYS)
    ends = []
    rows = look_up(model, ("ends",))
    names = [look_up(row, ("end",)) or f"turns {2 * at + 1}-{2 * at + 2}" for at, row in enumerate(rows)]
    if len(rows) == 1:
        names = [names[0], "turns 3-4" if names[0] != "turns 3-4" else "turns 1-2"]
        rows = rows * 2
    for end, row in zip(names, rows, strict=True):
        parts, guesses = collect(row, file_keys.END_KEYS)
        guessed |= guesses
        ends.append(End(id=end, **parts))
    return Track(name=look_up(model, ("track",)), ends=tuple(ends), **values, guessed=guessed)


def make_rulebook(model: object) -> Rulebook:
    """Make the rulebook of a checked file."""
    limits = {}
    for row in SETUP_KEYS:
        found = next((limit for path in limit_paths(row) if (limit := look_up(model, path)) is not None), None)
        if found is not None:
            limits[row.field] = found
    return Rulebook(name=look_up(model, ("rulebook",)), limits=limits)


def make_setup(model: object, rows: Rows) -> Setup:
    """Make the setup of a checked file, written by these rows; corner weights become shares."""
    values, guessed = collect(model, rows)
    if rows is not SETUP_KEYS:
        fields = [one.field for one in CORNER_WEIGHT_KEYS]
        loads = cast("Four", tuple(values.pop(field) for field in fields))
        scales = dict(zip(SHARE_LEVERS, shares_of(loads), strict=True))
        values = {**scales, **values}
        guessed = frozenset(scales) | guessed if guessed & set(fields) else guessed
        guessed -= set(fields)
    ordered = {lever: values[lever] for lever in LEVERS if lever in values}
    stated = {lever: str(value) for lever, value in look_up(model, (file_keys.OWN_LEVERS,)).items()}
    return Setup(name=look_up(model, ("setup",)), values=ordered, guessed=guessed, stated_own=stated)


def make_measured(model: object, fuel_density: float, steering_box: float) -> Measured:
    """Make the measurements of a checked case file."""
    block = look_up(model, ("measured",))
    values, _ = collect(block, file_keys.MEASURED_KEYS)
    for one in (one for one in file_keys.MEASURED_KEYS if one.members):
        read_at = zip(CORNERS, values[one.field], strict=True)
        values[one.field] = {corner: value for corner, value in read_at if value is not None}
    wheel = values.pop("steering_wheel")
    if values["steering"] is None and wheel is not None:
        values["steering"] = wheel / steering_box
    if values["fuel_used"] is not None:
        values["fuel_used"] *= fuel_density
    treads = {corner: look_up(block, ("temperatures", corner.lower())) for corner in CORNERS}
    laps = look_up(block, ("laps",))
    return Measured(
        laps=None if laps is None else round(laps.value),
        temperatures={corner: _values_of(tread) for corner, tread in treads.items() if tread is not None},
        lap_times=_values_of(look_up(block, ("lap times",))),
        **values,
    )


def make_fit(model: object) -> Fit:
    """Make the fit of a checked file."""
    tables = (file_keys.FIT_KEYS, file_keys.LEFT_KEYS, file_keys.BESIDE_KEYS)
    return Fit(*(look_up(model, (key,)) for key in ("fit", "log", "tire")), *(_stated(model, keys) for keys in tables))


def _stated(model: object, keys: Iterable[Key]) -> dict[str, float]:
    paths = {one.field: one.path for one in keys if not one.members}
    paths |= {f"{one.field} {tire.upper()}": (*one.path, tire) for one in keys for tire in one.members}
    readings = {name: look_up(model, path) for name, path in paths.items()}
    return {name: reading.value for name, reading in readings.items() if reading is not None}


def collect(model: object, keys: Iterable[Key]) -> tuple[dict[str, Any], frozenset[str]]:
    """Get the SI values of keys by field, and the fields that are guessed."""
    values: dict[str, Any] = {}
    guessed: set[str] = set()
    for one in keys:
        paths = [(*one.path, member) for member in one.members] or [one.path]
        readings: list[Amount | None] = [look_up(model, path) for path in paths]
        if any(reading is not None and reading.guessed for reading in readings):
            guessed.add(one.field)
        found = [None if reading is None else reading.value * one.scale for reading in readings]
        values[one.field] = tuple(found) if one.members else found[0]
    return values, frozenset(guessed)


def _values_of(readings: Iterable[Amount]) -> Any:
    return tuple(reading.value for reading in readings)
