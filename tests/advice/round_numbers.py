"""Round numbers for tests of the advice, laid over the real table of effects of the demo.

Sizes are the orientation numbers of our own model review (percent of grip, entry / middle / exit), flat over the run.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.advice.ranking import with_score
from assistant.advice.results import Certainty, Factor, Listing, Remedy, Timing
from assistant.belief.effects import LeverEffect
from assistant.belief.outcome import Outcome, scale_effect
from assistant.car.moves import value_of, with_step
from assistant.diagnosis.session import start
from assistant.ground.grid import PHASES, STAGES, Grid
from assistant.rules.pack import load_packs
from tests.demo_table import demo_table

ENDS = ("turns 1-2", "turns 3-4")
IN = 0.0254
LB_IN = 175.12683524647636
PSI = 6894.757293
DEG = 0.017453292519943295

# lever: (what one + step is [SI], effect of that step in entry, middle, exit [%])
STEPS = {
    "cross_weight": (0.0025, (0.085, 0.11, 0.18)),
    "spring_rr": (25 * LB_IN, (-0.19, -0.27, -0.46)),
    "spring_lr": (25 * LB_IN, (0.09, 0.03, 0.02)),
    "spring_rf": (25 * LB_IN, (0.02, 0.04, 0.085)),
    "front_bar": (0.125 * IN, (0.1, 0.2, 0.64)),
    "track_bar": (0.25 * IN, (-0.125, -0.17, -0.25)),
    "track_bar_right": (0.25 * IN, (-0.07, -0.09, -0.13)),
    "track_bar_left": (0.25 * IN, (-0.055, -0.08, -0.12)),
    "stagger": (0.125 * IN, (-0.38, -0.415, -0.485)),
    "pressure_rr": (0.5 * PSI, (-0.12, -0.125, -0.13)),
    "camber_rf": (0.25 * DEG, (-0.095, -0.165, -0.18)),
    "brake_bias": (0.01, (0.175, 0.0, 0.0)),
}


def grid(entry, middle, exit_):
    return Grid.level(dict(zip(PHASES, (entry, middle, exit_), strict=True)))


def lever_effect(lever, *, scale=1.0, sure=0.97, steps_down=8, steps_up=8, basis="computed"):
    step, row = STEPS[lever]
    row = tuple(scale * value for value in row)
    spread = {
        phase: {stage: tuple(sorted((0.6 * value, 1.4 * value))) for stage in STAGES}
        for phase, value in zip(PHASES, row, strict=True)
    }
    return LeverEffect(
        lever,
        step,
        grid(*row),
        dict(zip(ENDS, (grid(*row), grid(*(1.2 * value for value in row))), strict=True)),
        spread,
        grid(sure, sure, sure),
        basis,
        steps_down,
        steps_up,
    )


def effect_table(levers=tuple(STEPS), *, scale=1.0, **changes):
    """changes: lever -> a LeverEffect to use instead."""
    found = {lever: lever_effect(lever, scale=scale) for lever in levers} | changes
    return replace(demo_table(), balance=grid(0.0, 0.0, 0.0), end_balance={}, levers=found, habits={})


def added_up(effects, case):
    """A full model that adds single steps up, so that a test knows what comes out."""

    def outcome(trial):
        parts = []
        for lever, steps in trial.moves:
            moved, _ = with_step(case.setup, case.rulebook, case.car, lever, steps)
            multiple = (value_of(moved, lever) - value_of(case.setup, lever)) / effects.levers[lever].step
            parts.append(scale_effect(effects.levers[lever], multiple, effects.forecast))
        if trial.habit:
            parts.append(scale_effect(effects.habits[trial.habit], 1.0, effects.forecast))
        return Outcome(
            sum((one.balance for one in parts), grid(0.0, 0.0, 0.0)), {}, parts[0].run if len(parts) == 1 else None
        )

    return lambda trials: [outcome(trial) for trial in trials]


def session_about(case, knowledge, complaint, causes=None):
    """An interview in which this very complaint was understood, and these causes were found."""
    session = start(case, knowledge, "")
    vars(session)["complaint"] = complaint
    if causes is not None:
        vars(session)["causes"] = tuple(causes)
    return session


UNIT_CHANGES = {
    "cross_weight": 0.0065,
    "track_bar": 0.25 * IN,
    "spring_rr": 25 * LB_IN,
    "pressure_rr": PSI,
    "camber_rf": 0.5 * DEG,
}


def ranking(**changes):
    """The base pack's weights."""
    return load_packs().weights.model_copy(update=changes)


_ABOUT = {
    "confidence": Certainty("computed", 0.9),
    "practicality": Timing("between runs", "shop"),
    "trade": Listing(0, "loose off"),
}


def remedy(name, *factors, kind="lever", basis="computed", **values):
    """A remedy with the given factors (name, value) and its score."""
    made = with_score([Factor(part, value, _ABOUT.get(part, "")) for part, value in factors])
    values = {"title": name.replace("_", " "), "when": "between runs", "factors": made} | values
    return Remedy(kind, name, basis=basis, **values)
