"""A case as the vehicle model sees it: named numbers, the place, the moments of the run, and a solved corner."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from assistant.car.case import Case, Setup, own_moves
from assistant.ground.names import CORNERS, PHASES, SETTLED, STAGES, Grid
from assistant.ground.problems import BadInput, Problem
from assistant.physics.car_and_driver import Numbers, collect_numbers, usual_phases
from assistant.physics.corner_problem import Place
from assistant.physics.driven_run import NEAR_PASSES, Anchor, DrivenRun, drive_run
from assistant.physics.formulas import Array
from assistant.physics.heat_and_wear import Circuit, Moments, Span, pick_moments, weigh_span
from assistant.physics.line import Lengths
from assistant.physics.tire_grip import shape_curve

COLD = "cold"
"""The first laps on tires that are not warm yet; no column of a grid, but read where cold tires are the subject."""
COLD_LAPS, COME_IN, LAST_LAPS = 2.0, 8.0, 10.0
"""Laps on cold tires, laps after which the first tires of a run are not fresh any more, and laps of its end."""
SHORTEST = 9
"""Laps from which a run has a middle."""

At = str | float
"""A stage by its id, or a lap."""


def span_of(at: At, run_laps: float) -> Span:
    """Say from where to where a stage lasts [laps done]; a lap number is read by itself.

    Cold: laps 1 and 2. Fresh: laps 3 to 8, or to a third of the run. Settled: the middle third. Worn: the last ten
    laps, or the last third. A run under nine laps has two halves, fresh and worn, and settled is all of it.
    """
    if not isinstance(at, str):
        return at, at
    short, third = run_laps < SHORTEST, run_laps / 3.0
    return {
        COLD: (0.0, min(COLD_LAPS, run_laps / 2.0)),
        "fresh": (0.0, run_laps / 2.0) if short else (COLD_LAPS, min(COME_IN, third)),
        "settled": (0.0, run_laps) if short else (third, 2.0 * third),
        "worn": (run_laps / 2.0 if short else max(run_laps - LAST_LAPS, 2.0 * third), run_laps),
    }[at]


def middle_of(stage: str, run_laps: float) -> float:
    """Lap in the middle of a stage."""
    first, last = span_of(stage, run_laps)
    return 0.5 * (first + last)


def weigh_knots(knots: Array, at: At) -> Array:
    """Say what each knot of a run counts when a value is read at a stage or at a lap, (knots,); they sum to 1."""
    return _weigh(tuple(knots.tolist()), at)


@lru_cache(maxsize=256)
def _weigh(knots: tuple[float, ...], at: At) -> Array:
    """The same, worked out once: every screen reads the same few stages many hundred times."""
    return weigh_span(np.array(knots), span_of(at, knots[-1]))


def weigh_stages(knots: Array) -> Array:
    """The same for every stage, (stages, knots)."""
    return np.stack([weigh_knots(knots, stage) for stage in STAGES])


NO_STEADY_STATE = "the car has no steady state on this track: nothing can be computed for it"
LOOK_AGAIN = "look again at radius and bank, grip, springs, weights and drive ratios: one may be in another unit"
PLAN_SHORTER = "a run of {laps} laps uses up more than the tires have: state a shorter run"

ANCHOR_PASSES, LAST_TRIMS, CLOSE = 10, 12, 0.1
"""Passes of the run that finds the trims; then at most so many more runs until balance is 0.1 % from the anchor."""


@dataclass(frozen=True, eq=False)
class Model:
    """numbers: arrays of one car, the plainest one, which is neutral when settled; run: the run ahead with its setup.

    moments: tires and fuel of that run at each stage; balance: felt there, mean of the ends [%, + tight]. It tells of
    weights, heights and rates; where a car stands and what a change does is believed (see `believe`).
    """

    case: Case
    numbers: Numbers
    circuit: Circuit
    run: DrivenRun
    moments: Moments
    end_ids: tuple[str, ...]
    balance: Grid


def read_model(case: Case) -> Model:
    """Turn a case into what the physics works on, and drive the run ahead once with the setup at hand.

    Raises BadInput for a car and a track that no numbers come out of.
    """
    circuit, phases = read_circuit(case), usual_phases()
    settled = span_of(STAGES[SETTLED], case.run_laps)
    anchor = Anchor((settled, settled, settled))
    numbers = case_numbers(case)
    anchored = drive_run(numbers, phases, circuit, case.run_laps, passes=ANCHOR_PASSES, anchor=anchor)
    numbers = anchored.problem.numbers
    run = drive_run(numbers, phases, circuit, case.run_laps, passes=NEAR_PASSES, begin=anchored.beginning)
    for _ in range(LAST_TRIMS):
        numbers, left = ease_trims(numbers, run, anchor)
        if left < CLOSE:
            break
        run = drive_run(numbers, phases, circuit, case.run_laps, passes=NEAR_PASSES, begin=run.beginning)
    refuse_runaway(case, run)
    again = drive_run(
        numbers, phases, circuit, case.run_laps, passes=NEAR_PASSES, begin=run.beginning
    )  # as the forecasts do
    return Model(
        case=case,
        numbers=numbers,
        circuit=circuit,
        run=run,
        moments=pick_moments(run.moments, weigh_stages(run.laps)),
        end_ids=tuple(end.id for end in case.track.ends),
        balance=Grid.of_array(read_balance(again)),
    )


def case_numbers(case: Case) -> Numbers:
    """Collect the numbers of a case; what the team's own levers moved counts as put on the scales like the rest."""
    numbers = collect_numbers(case.car, case.tire, case.setup)
    if case.fit is not None:
        numbers |= {f"{BESIDE}{name}": np.array([value]) for name, value in case.fit.beside.items()}
    for name, change in own_moves(case.setup).items():
        for one in {name, f"weighed_{name}"} & numbers.keys():
            numbers[one] = numbers[one] + change
    return numbers


def setup_numbers(model: Model, setup: Setup) -> Numbers:
    """Numbers of the case's car with another setup; levers moved since the case's own are not re-scaled."""
    numbers = {**model.numbers, **{lever: np.array([value]) for lever, value in setup.values.items()}}
    numbers["seats_alone"] = np.array([float(setup.seats_alone)])
    before = own_moves(model.case.setup)
    for name, change in own_moves(setup).items():
        held = 0.0 if name in setup.values else before.get(name, 0.0)  # the model's numbers hold these moves already
        numbers[name] = numbers[name] + change - held
    return numbers


def refuse_runaway(case: Case, run: DrivenRun) -> None:
    """Raise BadInput when any car of a run has come to no numbers: the corner cannot be driven at all."""
    if not all(np.isfinite(part).all() for part in (run.balance, run.lap.time, run.moments.wear, run.lap.fuel)):
        raise no_steady_state(case, run)


def no_steady_state(case: Case, run: DrivenRun | None = None) -> BadInput:
    """Make what is raised for a car that cannot drive through these corners as the model drives.

    run: the run ahead of one car; where it uses up a whole tread, the length of the run is to blame first.
    """
    worn_out = run is not None and bool((run.moments.wear > 1.0).any())
    look = PLAN_SHORTER.format(laps=case.run_laps) if worn_out else LOOK_AGAIN
    return BadInput(Problem(case.file or case.name, 0, 0, NO_STEADY_STATE, look))


def ease_trims(numbers: Numbers, run: DrivenRun, anchor: Anchor) -> tuple[Numbers, float]:
    """Take part of the balance left off the anchor [%] from the trims (part only: tires answer back); returns it."""
    left = misses(run, anchor)
    trims = {f"trim_{phase}": numbers[f"trim_{phase}"] - 0.004 * off for phase, off in left.items()}
    return {**numbers, **trims}, max(map(abs, left.values()))


def misses(run: DrivenRun, anchor: Anchor) -> dict[str, float]:
    """How far the balance of each phase is off the anchor [%]."""
    at = [float(weigh_span(run.laps, span) @ run.mean_balance[:, p, 0]) for p, span in enumerate(anchor.spans)]
    return {phase: at[p] - anchor.targets[p] for p, phase in enumerate(PHASES)}


def read_balance(run: DrivenRun) -> Array:
    """Read the balance of one car over the stages, (stages, phases)."""
    return np.asarray(weigh_stages(run.laps) @ run.mean_balance[..., 0])


def read_circuit(case: Case) -> Circuit:
    """Take the track, the tire's curve and the engine out of a case."""
    track = case.track
    return Circuit(
        place=Place(
            radius=column(end.radius for end in track.ends),
            bank=column(end.bank for end in track.ends),
            grip=np.array([track.grip]),
            air_density=np.array([track.air_density]),
        ),
        lengths=Lengths(column(end.length for end in track.ends), column(end.straight for end in track.ends)),
        curve=shape_curve(case.tire.shape_c, case.tire.shape_e),
        engine=case.car.engine,
        air=track.air_temperature,
        road=track.track_temperature,
    )


BESIDE = "beside "
"""What begins the name of a number that says what a car reads beside the model: "beside tread RF", "beside fuel"."""


def read_beside(run: DrivenRun) -> DrivenRun:
    """Let tires and tank of a run read what a run log says they do beside the model (see `Fit`)."""
    numbers, nothing = run.problem.numbers, np.zeros(1)
    if not any(name.startswith(BESIDE) for name in numbers):
        return run
    tread, pressure, wear = (
        np.stack(np.broadcast_arrays(*(numbers.get(f"{BESIDE}{what} {one}", nothing) for one in CORNERS)))[:, None]
        for what in ("tread", "pressure", "wear")
    )
    moments, burnt = run.moments, 1.0 + numbers.get(f"{BESIDE}fuel", nothing)
    tires = replace(run.tires, pressure=run.tires.pressure + pressure)
    told = replace(moments, tread=moments.tread + tread, wear=moments.wear * (1.0 + wear))
    lap = replace(run.lap, fuel=run.lap.fuel * burnt)
    return replace(run, moments=replace(told, fuel_used=moments.fuel_used * burnt), tires=tires, lap=lap)


def read_levels(run: DrivenRun) -> dict[str, Array]:
    """How high a run reads, of every car: mean tread [K] and hot pressure [Pa]; wear and fuel used at its end."""
    mean = weigh_span(run.laps, (0.0, float(run.laps[-1])))
    pressure = np.broadcast_to(run.tires.pressure, run.moments.wear.shape)
    by_corner = {"tread": run.moments.tread, "pressure": pressure, "wear": run.moments.wear}
    levels = {
        f"{what} {corner}": one[-1] if what == "wear" else mean @ one
        for what, values in by_corner.items()
        for corner, one in zip(CORNERS, values, strict=True)
    }
    return {**levels, "fuel": np.broadcast_to(run.moments.fuel_used, run.lap.time.shape)[-1]}


def find_beside(run: DrivenRun, level: Mapping[str, float]) -> Numbers:
    """Say what every car of a run reads beside the model so that it reads as high as the log has it.

    What was measured on this car is so whatever else is off on it.
    """
    mine = read_levels(run)
    with np.errstate(all="ignore"):  # a car may be past driving: it is not usable then
        return {
            f"{BESIDE}{name}": high / mine[name] - 1.0 if name.split()[0] in {"wear", "fuel"} else high - mine[name]
            for name, high in level.items()
        }


def find_level(case: Case) -> dict[str, float]:
    """Find how high the car reads by its run log, where there is one: as the model with what the log taught it."""
    if case.fit is None:
        return {}
    levels = read_levels(read_beside(read_model(case).run))
    taught = {*case.fit.beside, *(["fuel"] if "fuel_use" in case.fit.values else [])}
    return {name: float(one[0]) for name, one in levels.items() if name in taught}


def column(values: Iterable[float]) -> Array:
    """Stand values up along the ends axis, (ends, 1)."""
    return np.array([[value] for value in values])
