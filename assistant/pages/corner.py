"""The car at its limit: three small tables for the engineer, and how it steers far below it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import degrees
from typing import Any

import numpy as np

from assistant.belief.corners import TEST_RADIUS, Circle, Corner, EndFacts, at_the_limit, drive_circle, read_corners
from assistant.belief.look_ahead import Reach
from assistant.belief.model import Model
from assistant.belief.picture import Picture, read_picture
from assistant.ground.names import CORNERS, PHASE_WORDS, SETTLED, STAGE_WORDS, STAGES
from assistant.ground.quantities import GRAVITY
from assistant.ground.units import System, show, unit_of
from assistant.pages.balance import NOT_KNOWN, doubt_blocks, doubts_data, known_words
from assistant.pages.blocks import ALL, CORNER, Block, Line, Table, apart, lines, more_of, under
from assistant.pages.chassis_facts import CarNow
from assistant.pages.data import Way, plain
from assistant.physics.formulas import steer_needed

WHAT_IT_IS = (
    "At the limit the axle named is at its peak; the other has grip left, about as much as the balance says. "
    "Loads and speeds of the model are not those of your car; how they differ from each other is what counts."
)
SHORT_NOTE = "The axle and tire named are at their limit. The speeds are the model's: only how they differ counts."
NO_STATE = "The car has no steady state {where}: nothing of that row counts."
WITH_FACTS = ("circle", ALL)
"""Parts that show what else an engineer reads of the car."""


def corner_screen(
    corners: tuple[Corner, ...],
    stage: str,
    system: System,
    facts: Sequence[str] = (),
    part: str = ALL,
    ask: str = "corner",
    doubts: Sequence[Block] = (),
) -> list[Block]:
    """Show a part of what is known of the corners at one stage of the run: "" the limits, "all" everything.

    facts: what else an engineer reads of the car. ask: what shows another part. doubts: why it is less sure.
    """
    head: list[Block] = [Line(f"The car at its limit {STAGE_WORDS[stage]}:", mark="heading"), *doubts]
    broken = lines((NO_STATE.format(where=_where(one)) for one in corners if not one.steady), "caution")
    parts: Mapping[str, Sequence[Block]] = {
        "loads": [_loads(corners, system)],
        "steering": [_steering(corners, system)],
        "circle": under("How it steers:", facts),
    }
    if part == ALL:
        return apart([*head, _limits(corners, system)], *parts.values(), [Line(WHAT_IT_IS, mark="quiet"), *broken])
    if part:
        return [*head, *parts[part], *broken]
    return [*head, _limits(corners, system), Line(f"{SHORT_NOTE} {more_of(ask, CORNER)}"), *broken]


def show_corners(reached: Reach, stage: str, part: str, system: System, ask: str = "corner") -> list[Block]:
    """Show a part of a car at its limit, as far as its run can be driven. ask: what shows another part."""
    facts = corner_facts(reached.model, stage, system=system) if part in WITH_FACTS else ()
    return corner_screen(read_corners(reached, stage), stage, system, facts, part, ask, doubt_blocks(_picture(reached)))


def _picture(reached: Reach) -> Picture | None:
    return None if reached.belief is None else read_picture(reached.belief)


def _where(one: Corner) -> str:
    return f"{PHASE_WORDS[one.phase]}, {one.end}"


def _row(one: Corner, system: System, **columns: str) -> tuple[str, ...]:
    """End and phase, then numbers of the corner by their names, each of its quantity."""
    shown = (
        show(getattr(one, name), kind, system=system, places=0 if kind == "share" else None)
        for name, kind in columns.items()
    )
    return (one.end, PHASE_WORDS[one.phase], *shown)


def _limits(corners: tuple[Corner, ...], system: System) -> Table:
    kinds = {"side": "acceleration", "forward": "acceleration", "speed": "speed"}
    rows = tuple((*_row(one, system, **kinds), *_limit(one)) for one in corners)
    fastest, slowest = max(corners, key=lambda one: one.speed), min(corners, key=lambda one: one.speed)
    said = (
        f"Quickest {_where(fastest)}, {show(fastest.speed, 'speed', system=system)}; "
        f"slowest {_where(slowest)}, {show(slowest.speed, 'speed', system=system)}."
    )
    return Table(("end", "phase", "side", "forward", "speed", "axle", "tire", "balance"), rows, said)


def _limit(one: Corner) -> tuple[str, str, str]:
    """Say axle and tire at their limit, and the balance that they follow from; nothing where that is not known."""
    said = NOT_KNOWN if one.balance is None else known_words(one.balance.value, one.balance.low, one.balance.high)
    return ("", "", said) if said == NOT_KNOWN else (one.axle or "", one.tire or "", said)


def _loads(corners: tuple[Corner, ...], system: System) -> Table:
    rows = tuple(
        (
            *_row(one, system),
            *(show(one.loads[corner], "force", system=system, unit=False) for corner in CORNERS),
            ", ".join(one.lifted) or "none",
        )
        for one in corners
    )
    lifted = [f"{', '.join(one.lifted)} {_where(one)}" for one in corners if one.lifted]
    said = f"In {'pounds' if system == 'trade' else 'newtons'}. "
    said += f"Off the ground: {'; '.join(lifted)}." if lifted else "No wheel is off the ground."
    return Table(("end", "phase", *CORNERS, "lifted"), rows, said, caption="Load on each tire")


def _steering(corners: tuple[Corner, ...], system: System) -> Table:
    angles, shares = ("slip_front", "slip_rear", "steer"), ("useful_share", "lock_share")
    kinds = dict.fromkeys(angles, "angle") | dict.fromkeys(shares, "share")
    rows = tuple(_row(one, system, **kinds) for one in corners)
    most = max(corners, key=lambda one: one.useful_share)
    share = show(most.useful_share, "share", system=system, places=0)
    said = "Useful is the share of what the front can take, of lock that of the whole lock. "
    said += f"Most of the useful steering is taken {_where(most)}, {share}; above 100 % more wheel only scrubs."
    head = ("end", "phase", "front slip", "rear slip", "wheels", "useful", "of lock")
    return Table(head, rows, said, caption="Slip angles and steering")


def circle_json(model: Model) -> dict[str, float]:
    """Give the understeer gradient as plain data, degrees per g, + tight, with the closed form's."""
    circle = drive_circle(model)
    found = {"gradient": circle.gradient, "of_tires": circle.of_tires, "closed_form": circle.closed}
    return {name: degrees(value) * GRAVITY for name, value in found.items()}


def corner_facts(model: Model, stage: str = STAGES[SETTLED], *, system: System = "trade") -> tuple[str, ...]:
    """Say how the car steers far below the limit and how it goes through the middle of each end, in short sentences.

    stage: of the ends; the steady circle is on settled tires.
    """
    now = CarNow(model, system)
    return (*_say_circle(drive_circle(model), now), *(_say_end(end, now) for end in at_the_limit(model, stage)))


def _say_circle(circle: Circle, now: CarNow) -> tuple[str, str]:
    per_g = degrees(GRAVITY)
    name, kind = ("tight", "characteristic") if circle.gradient >= 0 else ("loose", "critical")
    at_once = degrees(float(steer_needed(now.number("wheelbase"), TEST_RADIUS, 0.2 * GRAVITY, circle.gradient)))
    fastest = now.say(circle.limit_speed, "speed", places=0) if np.isfinite(circle.limit_speed) else "endless"
    steers = (
        f"Far below the limit the car is {name}: on a constant radius the front wheels turn "
        f"{circle.gradient * per_g:+.2f} deg for each g more (the tires alone {circle.of_tires * per_g:+.2f}, "
        f"the closed form {circle.closed * per_g:+.2f})."
    )
    round_it = now.say(TEST_RADIUS, "length", places=0)
    takes = f"On a circle of {round_it} it takes {at_once:.2f} deg at 0.2 g, stagger aside"
    return steers, f"{takes}; its {kind} speed is {fastest}."


def _say_end(end: EndFacts, now: CarNow) -> str:
    """Say how the car goes through the middle of an end, and at what speed the bank alone would carry it."""
    way = "into" if end.body_slip < 0 else "out of"
    bank = "the road falls away to the outside, so the bank carries nothing"
    if end.neutral_speed is not None:
        bank = f"at {now.say(end.neutral_speed, 'speed')} the bank alone would carry the car"
    return (
        f"In the middle of {end.end}, at {now.say(end.speed, 'speed')}, the tires give "
        f"{now.say(end.lateral, 'acceleration')} sideways, pressed on with {now.say(end.normal, 'acceleration')}; "
        f"{bank}. The front wheels are turned {degrees(end.steer):.1f} deg; the nose points "
        f"{abs(degrees(end.body_slip)):.1f} deg {way} the turn."
    )


def corners_data(reached: Reach, stage: str, *, system: System = "trade") -> dict[str, Any]:
    """Give the corners as plain data, numbers in the units asked for, shares as such; every unit is named."""
    kinds = {"side": "acceleration", "forward": "acceleration", "speed": "speed", "load": "force", "angle": "angle"}
    units = {name: unit_of(kind, system) for name, kind in kinds.items()}
    return {
        "stage": stage,
        "units": units,
        "corners": plain(read_corners(reached, stage), Way(system)),
        "circle": circle_json(reached.model),
        "as_said": doubts_data(_picture(reached)),
    }
