"""Degrees per psi and per degree of camber: the pack's assumption, or measured when one car was read several times.

What the tires say: air, then camber, then balance, by the rules of the pack, in steps the rulebook allows.

The rule used for air is the handbook's, middle against the mean of the edges; the stricter one (above or below both
edges) stands beside it, and where it is silent confidence falls by one word. Air comes before camber, both before
balance. Differences across a tread are taken as read; a cooling lap flattens them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import sqrt
from typing import TYPE_CHECKING

from assistant.car.moves import LeverStop, limit_of, with_step
from assistant.diagnosis.evidence import facts_of
from assistant.ground.names import CORNERS
from assistant.ground.quantities import EIGHT_OF_TEN
from assistant.ground.units import from_unit, read

if TYPE_CHECKING:
    from assistant.car.case import Case, Measured
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models import TireRule


NOISE = from_unit(6.0, "F", "temperature_change")
"""What a difference of two differences across a tread is off by [K], one standard deviation; assumption."""
WELL = 0.6
"""Share of the assumption's uncertainty left, below which the readings count."""
SMALLEST_SHARE = 0.2
"""A measured rate below this share of the assumed one would ask for absurd changes; the assumption stays."""


@dataclass(frozen=True)
class Rate:
    """How far a difference across the tread moves per unit of a lever, SI, positive; eight of ten lie in the range.

    told: "assumption" or "measured". pairs: pairs of readings with different settings behind it.
    """

    value: float
    low: float
    high: float
    told: str = "assumption"
    pairs: int = 0


def pressure_rate(knowledge: Knowledge, cases: Sequence[Case]) -> Rate:
    """Middle less edges per pascal [K/Pa], from the pack, and from several cases of one car when they differ in air."""
    return _judge(_assumed(knowledge.tire_reading["degrees-per-psi"], "pressure"), list(_air_pairs(cases)))


def camber_rate(knowledge: Knowledge, cases: Sequence[Case]) -> Rate:
    """Outside less inside per radian that the top leans out [K/rad]."""
    return _judge(_assumed(knowledge.tire_reading["degrees-per-camber"], "angle"), list(_camber_pairs(cases)))


def crown(zones: tuple[float, float, float], corner: str) -> float:
    """Middle less the mean of the edges [K]; on the right rear less the inside edge alone (common practice)."""
    inside, middle, outside = zones
    return middle - inside if corner == "RR" else middle - (inside + outside) / 2.0


def lean(zones: tuple[float, float, float]) -> float:
    """Inside less outside [K]."""
    return zones[0] - zones[2]


def _assumed(rule: TireRule, kind: str) -> Rate:
    per = read(str(rule.per), kind).value
    value, low, high = (
        read(str(text), "temperature_change").value / per for text in (rule.amount, rule.low, rule.high)
    )
    return Rate(value, low, high)


def _air_pairs(cases: Sequence[Case]) -> Iterable[tuple[float, float]]:
    for one, other in combinations(cases, 2):
        for corner in CORNERS:
            if corner in one.measured.temperatures and corner in other.measured.temperatures:
                air = cold_pressure(other, corner) - cold_pressure(one, corner)
                moved = crown(other.measured.temperatures[corner], corner) - crown(
                    one.measured.temperatures[corner], corner
                )
                yield air, moved


def _camber_pairs(cases: Sequence[Case]) -> Iterable[tuple[float, float]]:
    for one, other in combinations(cases, 2):
        for corner in ("LF", "RF"):
            if corner in one.measured.temperatures and corner in other.measured.temperatures:
                lever = f"camber_{corner.lower()}"
                out = other.setup.values[lever] - one.setup.values[lever]
                moved = lean(one.measured.temperatures[corner]) - lean(other.measured.temperatures[corner])
                yield out, moved


def cold_pressure(case: Case, corner: str) -> float:
    """Cold pressure of a tire [Pa]: as measured, else as in the setup."""
    return case.measured.cold_pressure.get(corner, case.setup.values[f"pressure_{corner.lower()}"])


def _judge(assumed: Rate, pairs: Sequence[tuple[float, float]]) -> Rate:
    """Join the assumption and the pairs (change of setting, change of difference) by their uncertainties."""
    deviation = (assumed.high - assumed.low) / (2.0 * EIGHT_OF_TEN)
    known = sum(change**2 for change, _ in pairs) / NOISE**2
    left = 1.0 / sqrt(1.0 + known * deviation**2)
    if left > WELL:
        return assumed
    pulled = sum(change * moved for change, moved in pairs) / NOISE**2
    value = (assumed.value / deviation**2 + pulled) / (1.0 / deviation**2 + known)
    if value < SMALLEST_SHARE * assumed.value:
        return assumed
    wide = EIGHT_OF_TEN * deviation * left
    low = max(value - wide, SMALLEST_SHARE * assumed.value)
    return Rate(value, low, value + wide, "measured", sum(1 for change, _ in pairs if change))


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
    stop: LeverStop | None = None


@dataclass(frozen=True)
class Finding:
    """One thing the tires say. id: of the rule. when: "now", "later" (once the air is right), or "look".

    by: difference it rests on [K], 0 when it rests on none. strict: whether the stricter rule agrees; None: not asked.
    """

    id: str
    rule: TireRule
    tire: str
    confidence: str
    when: str
    by: float = 0.0
    strict: bool | None = None
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
    """Everything the readings of a case say. spreads: hottest less coolest strip [K] by tire.

    not_probed: tires, where others were. besides: rules whose word belongs beside the findings.
    """

    findings: tuple[Finding, ...]
    spreads: Mapping[str, float]
    builds: tuple[Build, ...]
    air: Rate
    camber: Rate
    fine: float
    target: float
    not_probed: tuple[str, ...]
    besides: tuple[TireRule, ...]


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
    findings = [one for one in findings if not (scrub and one.rule.about == "camber")]
    findings += _read_rest(knowledge, holding, later=bool([one for one in findings if one.rule.about in Order[:2]]))
    findings.sort(key=lambda one: (Order.index(one.rule.about), CORNERS.index(one.tire) if one.tire in CORNERS else 9))
    return TireReading(
        findings=tuple(findings),
        spreads=spreads,
        builds=tuple(_builds(case, rules)),
        air=air,
        camber=camber,
        fine=_amount(rules["spread-fine"]),
        target=target,
        not_probed=tuple(corner for corner in CORNERS if spreads and corner not in spreads),
        besides=tuple(rules[key] for key in _besides(case.measured)),
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
        id=name,
        rule=rule,
        tire=tire,
        confidence=confidence,
        when=when,
        by=by,
        strict=strict,
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


def _besides(measured: Measured) -> Iterator[str]:
    """Give the rules that say how the temperatures are to be taken."""
    if "RR" in measured.temperatures:
        yield "rr-outside-coolest"
    if set(CORNERS) <= set(measured.temperatures):
        mean = {corner: sum(zones) / 3 for corner, zones in measured.temperatures.items()}
        if mean["RF"] + mean["RR"] > mean["LF"] + mean["LR"]:
            yield "right-hotter-is-normal"


def _amount(rule: TireRule, kind: str = "temperature_change") -> float:
    return read(str(rule.amount), kind).value
