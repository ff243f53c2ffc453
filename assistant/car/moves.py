"""What moving a lever does to a setup: the next legal step, a stated value, what is left, what is outside the rules.

One step is the rulebook's smallest: the next value on its grid, or the next part on the shelf. A value between two
steps goes to the next legal one. Nothing is moved past a limit. The effect on the car is computed elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf, nextafter
from typing import Literal

from assistant.car.car import Car, Shares, lifted_corners
from assistant.car.case import NEAR, Case, LeverLimit, Rulebook, Setup, kind_of, levers_of
from assistant.car.keys import LEVERS, SHARE_LEVERS, SMALLER_IS_MORE, ends_of, lever_name, write_value
from assistant.ground.problems import Problem
from assistant.ground.units import System, show

_COUNTED = frozenset({"clicks", "holes", "strips"})
"""Kinds of levers that have nothing between two steps; what is measured may be read between them."""
_OFF_STEP = 1e-3
"""Share of a step that is rounding, and not a value between two."""
_FIXED = "the rulebook does not list it"
_TANK = "tank: volume of the car file"
_LIFTED = "cross is RF + LR, nose is LF + RF, left is LF + LR"


@dataclass(frozen=True)
class LeverStop:
    """A lever came to its limit. made: steps that could be made, with their sign. value: where it stands [SI of kind].

    end: "min" or "max", the end of the range in the direction of the number; "fixed": the rules do not let it move.
    """

    lever: str
    end: Literal["min", "max", "fixed"]
    made: int
    value: float
    name: str
    kind: str


def legal_range(case: Case, lever: str) -> tuple[float, float, float] | None:
    """Least, most and step [SI] the rules allow; the range both ends of a bar share; None for a fixed lever."""
    limits = [limit_of(case.rulebook, case.car, end) for end in ends_of(lever)]
    known = [limit for limit in limits if limit is not None]
    if len(known) < len(limits):
        return None
    near = [abs(one) for one in neighbors(case.setup, case.rulebook, case.car, lever) if one]
    step = min(near, default=known[0].step)
    return max(limit.low for limit in known), min(limit.high for limit in known), step


def with_steps(case: Case, moves: Iterable[tuple[str, int]]) -> Setup:
    """Move several levers of a case by legal steps each."""
    setup = case.setup
    for lever, steps in moves:
        setup, _ = with_step(setup, case.rulebook, case.car, lever, steps)
    return setup


def with_step(setup: Setup, rulebook: Rulebook, car: Car, lever: str, steps: int) -> tuple[Setup, LeverStop | None]:
    """Move a lever by legal steps; + is the lever's plus direction.

    `track_bar` moves both ends alike and stops when either does. A step from a guessed value leads to a guessed one.
    Returns the new setup and, when not all steps could be made, where it stopped. Raises ValueError for an unknown one.
    """
    _check_lever(lever, setup)
    sign = 1 if steps > 0 else -1
    for made in range(abs(steps)):
        values = dict(setup.values)
        for end in ends_of(lever):
            following = _after_step(setup, rulebook, car, end, sign)
            if isinstance(following, LeverStop):
                return setup, replace(following, made=sign * made)
            values[end] = following
        setup = replace(setup, values=values)
    return setup, None


def _after_step(setup: Setup, rulebook: Rulebook, car: Car, lever: str, sign: int) -> float | LeverStop:
    """Give the value one step on, or say that there is none."""
    limit, value = limit_of(rulebook, car, lever), setup.values[lever]
    kind, name = kind_of(lever, setup), _name(setup, lever)
    if limit is None:
        return LeverStop(lever, "fixed", 0, value, name, kind)
    down = (sign < 0) is not (lever in SMALLER_IS_MORE)
    following = limit.beyond(value, down=down)[:1]
    if not following or _lifts_wheel(setup, lever, *following):
        return LeverStop(lever, "min" if down else "max", 0, value, name, kind)
    return following[0]


def with_value(setup: Setup, lever: str, value: float) -> Setup:
    """Set a lever to an SI value, legal or not (see `setup_faults`); for `track_bar` the mean height of its ends.

    Whoever sets a value knows it, so it is no longer guessed.
    """
    mean = value_of(setup, lever)
    changed = {end: value + (setup.values[end] - mean) for end in ends_of(lever)}
    return replace(setup, values={**setup.values, **changed}, guessed=setup.guessed - set(changed))


def part_way(setup: Setup, rulebook: Rulebook, car: Car, lever: str, goal: float) -> Setup | None:
    """Move a lever by legal steps about half of the way to a value; None where no step lies between."""
    start = value_of(setup, lever)
    found = []
    for way in (-1, 1):
        moved = setup
        while _is_between(value_of(moved, lever), start, goal) or moved is setup:
            following, stopped = with_step(moved, rulebook, car, lever, way)
            if stopped is not None or not _is_between(value_of(following, lever), start, goal):
                break
            moved = following
            found.append(moved)
    return min(found, key=lambda one: abs(value_of(one, lever) - (start + goal) / 2), default=None)


def _is_between(value: float, one: float, other: float) -> bool:
    near = NEAR * abs(other - one)
    return min(one, other) + near < value < max(one, other) - near


def value_of(setup: Setup, lever: str) -> float:
    """SI value of a lever; for `track_bar` the mean height of its ends."""
    _check_lever(lever, setup)
    ends = ends_of(lever)
    return sum(setup.values[end] for end in ends) / len(ends)


def range_left(setup: Setup, rulebook: Rulebook, car: Car, lever: str) -> tuple[int, int]:
    """Legal steps left (down, up) in the lever's own direction; both 0 when the rules fix it."""
    _check_lever(lever, setup)
    limits = [(setup.values[end], limit_of(rulebook, car, end)) for end in ends_of(lever)]
    less, more = (
        min(0 if limit is None else len(limit.beyond(value, down=down)) for value, limit in limits)
        for down in (True, False)
    )
    return (more, less) if lever in SMALLER_IS_MORE else (less, more)


def neighbors(setup: Setup, rulebook: Rulebook, car: Car, lever: str) -> tuple[float, float]:
    """SI change of the number by one step in the - and in the + direction; 0 where no step is left.

    For `track_bar` the change of both ends. Of an ordinary lever the first is below 0 and the second above.
    """
    start = value_of(setup, lever)
    changes = []
    for steps in (-1, 1):
        moved, _ = with_step(setup, rulebook, car, lever, steps)
        changes.append(value_of(moved, lever) - start)
    return changes[0], changes[1]


def limit_of(rulebook: Rulebook, car: Car, lever: str) -> LeverLimit | None:
    """Limit of a lever on this car: of the gears in the rules, those the box has; of the fuel, what the tank holds.

    Of the bars, those thicker than their bore.
    """
    limit = _what_is_here(rulebook, lever)
    if limit is None:
        return None
    if lever == "gear":
        parts = tuple(sorted(gear for gear in car.engine.gears if _nearest(limit, gear) == gear))
        if not parts:
            return None
        return replace(limit, low=parts[0], high=parts[-1], parts=parts)
    if lever == "fuel_at_green":
        return _among(limit, -inf, car.tank_volume)
    if lever == "front_bar":
        return _among(limit, nextafter(car.bar_bore, inf), inf)
    return limit


def _what_is_here(rulebook: Rulebook, lever: str) -> LeverLimit | None:
    """Limit of a lever without what this car has not of it."""
    limit = rulebook.limits.get(lever)
    if limit is None or rulebook.out(lever) is not None:
        return None
    missing = [one.value for one in rulebook.not_here if one.value is not None and one.covers(lever)]
    if not missing:
        return limit
    parts = tuple(part for part in limit.values if all(abs(part - one) > _OFF_STEP * abs(part) for one in missing))
    return replace(limit, low=parts[0], high=parts[-1], parts=parts) if parts else None


def _among(limit: LeverLimit, low: float, high: float) -> LeverLimit | None:
    """Narrow a limit to what lies between two values; of a range the grid stays as the rules have it."""
    inside = tuple(value for value in limit.values if low <= value <= high)
    if not limit.parts:
        return replace(limit, low=next(iter(inside), limit.low), high=min(limit.high, high))
    return replace(limit, low=inside[0], high=inside[-1], parts=inside) if inside else None


def setup_faults(case: Case, system: System = "trade") -> tuple[Problem, ...]:
    """Say what of a setup is outside the rulebook or cannot be on this car; shown, and no reason to stop."""
    faults = [_fault(case, lever, system, moved=False) for lever in levers_of(case.setup) if lever in case.setup.values]
    return (*(fault for fault in faults if fault is not None), *_lifted_faults(case))


def move_faults(case: Case, setup: Setup, system: System = "trade") -> tuple[Problem, ...]:
    """Say what is not legal of the values in which a setup differs from the case's; a fixed lever may not move."""
    there = replace(case, setup=setup)
    moved = differences(case.setup, setup)
    faults = [_fault(there, lever, system, moved=True) for lever in moved]
    lifted = () if moved.keys().isdisjoint(SHARE_LEVERS) else _lifted_faults(there)
    return (*(fault for fault in faults if fault is not None), *lifted)


def unfit_parts(setup: Setup, car: Car) -> Iterator[tuple[str, str, str]]:
    """Find what this car cannot take: lever, what is wrong, a hint."""
    if setup.values["front_bar"] <= car.bar_bore:
        says = f"the front bar's outside diameter is not more than its bore, {show(car.bar_bore, 'short_length')}"
        yield "front_bar", says, "bore: front end: bar bore of the car file"
    if not any(abs(setup.values["gear"] - gear) < 0.005 for gear in car.engine.gears):
        says = f"the gearbox of '{car.name}' has no gear of {setup.values['gear']:.2f}"
        yield "gear", says, "write its ratio: " + ", ".join(f"{gear:.2f}" for gear in car.engine.gears)
    if setup.values["fuel_at_green"] > car.tank_volume * 1.001:
        yield "fuel_at_green", f"the tank of '{car.name}' holds {show(car.tank_volume, 'volume')}", _TANK


def differences(before: Setup, after: Setup) -> Mapping[str, tuple[float, float]]:
    """Levers whose values differ, with both SI values, in the order of LEVERS; a team's own where both have it."""
    both = [lever for lever in levers_of(before) if lever in before.values and lever in after.values]
    pairs = {lever: (before.values[lever], after.values[lever]) for lever in both}
    return {lever: pair for lever, pair in pairs.items() if abs(pair[0] - pair[1]) > 1e-9 * max(1.0, abs(pair[0]))}


def _name(setup: Setup, lever: str) -> str:
    own = setup.own.get(lever)
    return lever_name(lever) if own is None else own.name


def _check_lever(lever: str, setup: Setup) -> None:
    if lever not in LEVERS and lever not in setup.own:
        raise ValueError(f"no lever is called '{lever}'")


def _lifts_wheel(setup: Setup, lever: str, value: float) -> bool:
    """Whether the scales would show a wheel in the air; such a step is never offered, whatever the rules say."""
    return lever in SHARE_LEVERS and bool(lifted_wheels({**setup.values, lever: value}))


def lifted_wheels(values: Mapping[str, float]) -> tuple[tuple[str, str, float], ...]:
    """Wheels that the scales of a setup lift at rest, by the values of its levers; see `lifted_corners`."""
    return lifted_corners(Shares(*(values[lever] for lever in SHARE_LEVERS)))


def _nearest(limit: LeverLimit, value: float) -> float:
    """The value itself when it is legal, else the nearest legal one."""
    if limit.parts:
        best = min(limit.parts, key=lambda part: abs(part - value))
        gaps = [later - earlier for earlier, later in pairwise(limit.parts)]
        slack = 1e-3 * min(gaps) if gaps else NEAR * max(1e-12, abs(value))
        return value if abs(best - value) <= slack else best
    slack = NEAR * limit.step
    if limit.low - slack <= value <= limit.high + slack:
        return value
    return limit.low if value < limit.low else limit.high


def _fault(case: Case, lever: str, system: System, *, moved: bool) -> Problem | None:
    """Find what is wrong with one value. A value that was moved stands on a step; one that is counted always does."""
    rulebook = case.rulebook if moved else replace(case.rulebook, not_here=())  # what is on the car is here
    limit, value = limit_of(rulebook, case.car, lever), case.setup.values[lever]
    for unfit, says, hint in unfit_parts(case.setup, case.car):
        if unfit == lever:
            return _problem(case, says, hint)
    if limit is None:
        return _problem(case, *_why_fixed(case, lever)) if moved else None
    nearest = _nearest(limit, value)
    if nearest == value and (moved or kind_of(lever, case.setup) in _COUNTED):
        nearest = _on_step(limit, value)
    return None if nearest == value else _say_fault(case, lever, limit, nearest, system)


def _why_fixed(case: Case, lever: str) -> tuple[str, str]:
    if (out := case.rulebook.out(lever)) is not None:
        who = "left out for this talk" if out.tonight else "the case file says so"
        return f"{_name(case.setup, lever)} is not here, or not to be touched", who
    return f"{_name(case.setup, lever)} is fixed by the rules", _FIXED


def _on_step(limit: LeverLimit, value: float) -> float:
    """The value itself when it is on the grid of a range, else the nearest that is."""
    near = min(limit.values, key=lambda one: abs(one - value))
    return value if limit.parts or abs(near - value) <= _OFF_STEP * limit.step else near


def _lifted_faults(case: Case) -> tuple[Problem, ...]:
    return tuple(
        _problem(case, f"the {name} wheel stands off the ground: {show(missing, 'share')} of the weight", _LIFTED)
        for _, name, missing in lifted_wheels(case.setup.values)
    )


def _problem(case: Case, says: str, hint: str) -> Problem:
    return Problem(f"setup {case.setup.name}", 0, 0, says, hint)


def _say_fault(case: Case, lever: str, limit: LeverLimit, nearest: float, system: System) -> Problem:
    kind, name = kind_of(lever, case.setup), _name(case.setup, lever)
    value, legal = (show(one, kind, system=system, fraction=True) for one in (case.setup.values[lever], nearest))
    inside = limit.low <= case.setup.values[lever] <= limit.high
    if limit.parts and inside:
        says = f"{name} is {value}, which is not among the parts of '{case.rulebook.name}'"
    elif inside:
        exactly = write_value(case.setup.values[lever], kind, system)  # half a click would be rounded away
        says = f"{name} is {exactly}, between two steps of {show(limit.step, kind, system=system, fraction=True)}"
    else:
        side = "less" if case.setup.values[lever] < limit.low else "more"
        end = show(limit.low if side == "less" else limit.high, kind, system=system, fraction=True)
        whose = f"'{case.rulebook.name}' allows" if lever not in case.setup.own else "its own range"
        says = f"{name} is {value}, {side} than {whose}, {end}"
    return _problem(case, says, f"nearest legal: {legal}")
