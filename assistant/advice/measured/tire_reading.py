"""What the tires say: air, then camber, then balance, by the rules of the pack, in steps the rulebook allows.

The rule used for air is the handbook's, middle against the mean of the edges; the stricter one (above or below both
edges) stands beside it, and where it is silent confidence falls by one word. Air comes before camber, both before
balance. Differences across a tread are taken as read; a cooling lap flattens them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.advice.interview.facts import facts_of
from assistant.advice.measured.tire_rates import Rate, camber_rate, cold_pressure, crown, lean, pressure_rate
from assistant.car.car import CORNERS
from assistant.car.changes import Stop, limit_of, with_step
from assistant.units import from_unit, read

if TYPE_CHECKING:
    from assistant.car.case import Case, Measured
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models_tires import TireRule

UNREAD = from_unit(2.0, "F", "temperature_change")
"""A difference of strips a probe does not show [K]; assumption."""
MOST_CAMBER = from_unit(1.0, "deg")
"""Largest change of camber between two readings; as the lever's largest sensible change."""
LESS_SURE = {"good": "fair", "fair": "guess", "guess": "guess"}
MUCH_BUILD = 1.6
"""A build of so many times the usual one is worth a word; assumption."""
Order = ("pressure", "camber", "toe", "balance", "cross")


@dataclass(frozen=True)
class Move:
    """A legal move. steps: of the rulebook, with sign. change, value: SI. stop: why not all could be made, else None.

    wanted: what the difference asks for, low and high by the range of the rate. most: of one go, between two readings.
    """

    lever: str
    steps: int
    change: float
    value: float
    wanted: float
    low: float
    high: float
    most: float
    stop: Stop | None = None


@dataclass(frozen=True)
class Finding:
    """One thing the tires say. rule: key in the pack. when: "now", "later" (once the air is right), or "look".

    by: difference it rests on [K], 0 when it rests on none. strict: whether the stricter rule agrees; None: not asked.
    """

    rule: str
    tire: str
    about: str
    title: str
    says: str
    confidence: str
    backed_by: tuple[str, ...]
    when: str
    by: float = 0.0
    strict: bool | None = None
    lever: str = ""
    toward: str = ""
    move: Move | None = None


@dataclass(frozen=True)
class Build:
    """Pressure gained [Pa] by a tire, beside the usual one."""

    tire: str
    gained: float
    usual: float
    much: bool


@dataclass(frozen=True)
class TireReading:
    """Everything the readings of a case say. spreads: hottest less coolest strip [K] by tire."""

    findings: tuple[Finding, ...]
    spreads: Mapping[str, float]
    builds: tuple[Build, ...]
    air: Rate
    camber: Rate
    fine: float
    target: float
    notes: tuple[str, ...]


def has_readings(measured: Measured) -> bool:
    """Whether there is anything to read."""
    return bool(measured.temperatures or measured.hot_pressure or measured.wear)


def read_tires(case: Case, knowledge: Knowledge, earlier: Sequence[Case] = ()) -> TireReading:
    """Read the tires of a case. earlier: other cases of the same car, whose air or camber was different."""
    rules = knowledge.tire_reading
    facts = facts_of(case, {})
    holding = [name for name, rule in rules.items() if rule.condition and knowledge.holds(rule.condition, facts)]
    air, camber = (rate(knowledge, [*earlier, case]) for rate in (pressure_rate, camber_rate))
    spreads = {corner: max(zones) - min(zones) for corner, zones in case.measured.temperatures.items()}
    target = _amount(rules["spread-target"])
    findings: list[Finding] = []
    for corner in case.measured.temperatures:
        findings += _read_air(case, knowledge, corner, holding, air, even=spreads[corner] <= target)
    unsettled = {one.tire for one in findings if one.move is not None}
    findings += _read_camber(case, knowledge, holding, camber, unsettled)
    scrub = any(one.startswith("toe-") for one in holding)
    findings = [one for one in findings if not (scrub and one.about == "camber")]
    findings += _read_rest(knowledge, holding, later=bool([one for one in findings if one.about in Order[:2]]))
    findings.sort(key=lambda one: (Order.index(one.about), CORNERS.index(one.tire) if one.tire in CORNERS else 9))
    return TireReading(
        findings=tuple(findings),
        spreads=spreads,
        builds=tuple(_builds(case, rules)),
        air=air,
        camber=camber,
        fine=_amount(rules["spread-fine"]),
        target=target,
        notes=tuple(_notes(case, rules)),
    )


def _read_air(
    case: Case, knowledge: Knowledge, corner: str, holding: Sequence[str], rate: Rate, *, even: bool
) -> Iterator[Finding]:
    """Too much or too little air in one tire; nothing for an even tread or a difference no probe shows."""
    by = crown(case.measured.temperatures[corner], corner)
    if even or abs(by) < UNREAD:
        return
    rules = knowledge.tire_reading
    strict_rules = [one for one, rule in rules.items() if rule.stricter and rule.tire == corner.lower()]
    for name in holding:
        rule = rules[name]
        if rule.about != "pressure" or rule.stricter or rule.tire != corner.lower():
            continue
        strict = any(one in holding and rules[one].move == rule.move for one in strict_rules) if strict_rules else None
        step = _amount(rules["pressure-step"], "pressure")
        yield _finding(name, rule, corner, "now", by, strict, _move(case, knowledge, rule, abs(by), rate, step))


def _read_camber(
    case: Case, knowledge: Knowledge, holding: Sequence[str], rate: Rate, unsettled: set[str]
) -> Iterator[Finding]:
    """Camber of the front tires; later where the air comes first."""
    bias = _amount(knowledge.tire_reading["spread-target"])
    for name in holding:
        rule = knowledge.tire_reading[name]
        if rule.about != "camber":
            continue
        corner = rule.tire.upper()
        by = lean(case.measured.temperatures[corner])
        # the edge that may stay a little hotter (inside right, outside left) is not worked away whole
        over = abs(by) - (bias if (by > 0) is (corner == "RF") else 0.0)
        if over < UNREAD:
            continue
        when = "later" if corner in unsettled else "now"
        yield _finding(name, rule, corner, when, by, None, _move(case, knowledge, rule, over, rate, MOST_CAMBER))


def _read_rest(knowledge: Knowledge, holding: Sequence[str], *, later: bool) -> Iterator[Finding]:
    """Toe, axles and diagonals: where to look, never a size."""
    for name in holding:
        rule = knowledge.tire_reading[name]
        if rule.about in Order[2:]:
            when = "later" if later and rule.about != "toe" else "look"
            yield _finding(name, rule, rule.tire, when, 0.0, None, None)


def _finding(
    name: str, rule: TireRule, tire: str, when: str, by: float, strict: bool | None, move: Move | None
) -> Finding:
    confidence = LESS_SURE[rule.confidence] if strict is False else rule.confidence
    return Finding(
        rule=name,
        tire=tire,
        about=rule.about,
        title=rule.title,
        says=rule.says,
        confidence=confidence,
        backed_by=tuple(rule.backed_by),
        when=when,
        by=by,
        strict=strict,
        lever=rule.lever or "",
        toward=rule.move or "",
        move=move,
    )


def _move(case: Case, knowledge: Knowledge, rule: TireRule, by: float, rate: Rate, most: float) -> Move:
    """Turn a difference [K] into legal steps: the nearest whole number, at least one, at most `most` in one go."""
    assert rule.lever is not None and rule.move is not None, "rules of air and camber name a lever"  # noqa: S101, PT018
    limit = limit_of(case.rulebook, case.car, rule.lever)
    step = limit.step if limit is not None and limit.step > 0 else most
    steps = max(1, int(min(by / rate.value, most) / step + 0.5)) * knowledge.move_sign(rule.lever, rule.move)
    moved, stop = with_step(case.setup, case.rulebook, case.car, rule.lever, steps)
    before, after = case.setup.values[rule.lever], moved.values[rule.lever]
    made = steps if stop is None else stop.made
    return Move(rule.lever, made, after - before, after, by / rate.value, by / rate.high, by / rate.low, most, stop)


def _builds(case: Case, rules: Mapping[str, TireRule]) -> Iterator[Build]:
    for corner, hot in case.measured.hot_pressure.items():
        gained = hot - cold_pressure(case, corner)
        usual = _amount(rules[f"usual-build-{corner.lower()}"], "pressure")
        yield Build(corner, gained, usual, gained > MUCH_BUILD * usual)


def _notes(case: Case, rules: Mapping[str, TireRule]) -> Iterator[str]:
    measured = case.measured
    if measured.temperatures and (missing := [one for one in CORNERS if one not in measured.temperatures]):
        yield f"Not probed: {', '.join(missing)}."
    if "RR" in measured.temperatures:
        yield rules["rr-outside-coolest"].says
    if set(CORNERS) <= set(measured.temperatures):
        mean = {corner: sum(zones) / 3 for corner, zones in measured.temperatures.items()}
        if mean["RF"] + mean["RR"] > mean["LF"] + mean["LR"]:
            yield rules["right-hotter-is-normal"].says


def _amount(rule: TireRule, kind: str = "temperature_change") -> float:
    return read(str(rule.amount), kind).value
