"""Results as plain data for `--json`: one walk over records, by a table of keys for each kind of record.

The keys are a contract. Those of a record stand here; what is put together of several (levers, pictures, corners) has
its keys beside its screen, and units of keys stand in `commands.runner`. Numbers are in units of the system asked for;
balance in percent, + tighter; shares 0 to 1. What is not computed or not known is None (null), never invented.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from assistant.advice.results import Advice, Remedy
from assistant.car.case import Case, kind_of
from assistant.car.keys import LEVER_KIND
from assistant.car.moves import legal_range, setup_faults
from assistant.ground.names import ZONES, chance_word
from assistant.ground.quantities import LOG_KINDS
from assistant.ground.units import System, to_unit, unit_of
from assistant.pages import readings
from assistant.pages.advice_words import complaint_words, cost_place, say_cost, say_reason
from assistant.pages.amounts import fault_texts, say_sources
from assistant.pages.balance import doubts_data, picture_data
from assistant.pages.blocks import PaperBlock
from assistant.pages.hearing_words import list_unread, say_question, say_sign, say_stop
from assistant.pages.why import facts_of

if TYPE_CHECKING:
    from assistant.belief.model import Model

RANGE = ("min", "max", "step")
OF_LEVER, OF_LOG = "lever", "log"
"""Quantities that hang on the record: on its lever, or on what was read."""
Plain = dict[str, Any]
"""Only dicts, lists, text, numbers and None, ready for `json.dumps`."""


@dataclass(frozen=True)
class Way:
    """How data are written. case: whose levers the numbers are of. model: for the facts of a change, None for none."""

    system: System = "trade"
    case: Case | None = None
    model: Model | None = None

    def number(self, value: Any, quantity: str | None) -> Any:
        """Turn SI numbers of one quantity, alone or gathered, into the system's unit."""
        if value is None or quantity is None:
            return None
        if isinstance(value, Mapping):
            return {key: self.number(one, quantity) for key, one in value.items()}
        if isinstance(value, tuple):
            return [self.number(one, quantity) for one in value]
        return to_unit(value, self.unit(quantity), quantity)

    def unit(self, quantity: str) -> str:
        """Name the unit numbers of a quantity are given in."""
        return unit_of(quantity, self.system)

    def lever(self, value: float | None, lever: str | None) -> float | None:
        """Turn a value of a lever; rounded where arithmetic noise begins."""
        found = self.number(value, self.kind(lever))
        return None if found is None else round(found, 9) + 0.0

    def kind(self, lever: str | None) -> str | None:
        """Find the quantity of a lever, also of this case's own."""
        if lever is None or self.case is None:
            return LEVER_KIND.get(lever or "")
        return kind_of(lever, self.case.setup)


Maker = Callable[[Any, Way], Any]


def plain(value: Any, way: Way) -> Any:
    """Write any result: records by their keys, everything in them likewise."""
    if isinstance(value, Mapping):
        return {key: plain(one, way) for key, one in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        keys = _keys_of(_name_of(value), type(value))
        kind = {"block": type(value).__name__} if isinstance(value, PaperBlock) else {}
        return kind | {name: _value(value, name, path, quantity, way) for name, path, quantity in keys}
    if isinstance(value, tuple | list):
        return [plain(one, way) for one in value]
    return value


def _value(record: Any, name: str, path: str, quantity: str, way: Way) -> Any:
    made = MADE.get(f"{_name_of(record)}.{name}")
    if made is not None:
        return plain(made(record, way), way)
    value = _read(record, path)
    if quantity == OF_LEVER:
        return way.lever(value, _lever_of(record))
    if quantity == OF_LOG:
        return way.number(value, LOG_KINDS[record.quantity]) if record.quantity in LOG_KINDS else value
    return way.number(value, quantity) if quantity else plain(value, way)


def _unit_of_lever(record: Any, way: Way) -> str | None:
    kind = way.kind(_lever_of(record))
    return None if kind is None else way.unit(kind)


def _unit_of_log(record: Any, way: Way) -> str:
    """Name the unit of what was read; balance is in percent in every system."""
    return way.unit(LOG_KINDS[record.quantity]) if record.quantity in LOG_KINDS else "%"


def _lever_of(record: Any) -> str | None:
    if isinstance(record, Remedy):
        return record.id if record.kind == "lever" else None
    return str(record.lever)


def _read(record: Any, path: str) -> Any:
    """Read a field, such as "run.pace"; None where there is nothing on the way."""
    value = record
    for name in path.split("."):
        value = None if value is None else getattr(value, name)
    return value


def _name_of(record: Any) -> str:
    """What the table calls a record; a remedy of several levers has keys of its own."""
    return "Package" if isinstance(record, Remedy) and record.kind == "package" else type(record).__name__


@cache
def _keys_of(name: str, kind: Any) -> tuple[tuple[str, str, str], ...]:
    """Return (key, field, quantity) of each key of a record; "" for a quantity that needs no unit."""
    if name not in KEYS:
        return tuple((field.name, field.name, "") for field in fields(kind))
    found = []
    for item in KEYS[name].split():
        name, _, field = item.partition("=")
        name, _, quantity = name.partition(":")
        found.append((name, field or name, quantity))
    return tuple(found)


def advice_data(advice: Advice, way: Way) -> Plain:
    """Give an advice as the contract of `advise --json` has it; a reason to stop stands alone."""
    alone = Advice(advice.complaint, stop=advice.stop) if advice.stop else advice
    return dict(plain(alone, way))


def _after_by_corner(found: Mapping[str, Any] | None) -> Plain | None:
    return None if found is None else {corner: {"after": one[0], "change": one[1]} for corner, one in found.items()}


def _ends(ends: Any, name: str) -> list[Plain]:
    return [{"id": end, name: grid} for end, grid in ends]


def _legal(remedy: Any, way: Way) -> Plain | None:
    """What the rules allow of its lever; None for a habit and a fixed lever."""
    lever = _lever_of(remedy)
    known = None if lever is None or way.case is None else legal_range(way.case, lever)
    return None if known is None else {name: way.lever(one, lever) for name, one in zip(RANGE, known, strict=True)}


def _sure(remedy: Any, _: Way) -> Plain | None:
    if remedy.confidence is None:
        return None
    return {"direction": remedy.confidence, "cures": remedy.cures, "word": chance_word(remedy.confidence)}


def _facts(offer: Any, way: Way) -> list[tuple[str, ...] | None]:
    """What each move of an offer is on this car, in sentences; None for each when the facts are not wanted."""
    if way.model is None:
        return [None] * max(1, len(offer.moves))
    return [one.facts for one in facts_of(offer, way.model, way.system)] or [()]


def _moves(package: Any, way: Way) -> list[Plain]:
    told = zip(package.moves, _facts(package, way), strict=True)
    return [plain(move, way) | {"facts": plain(said, way)} for move, said in told]


_COST_UNIT = {"balance": "%", "tire life": "laps", "pace": "s"}


def _cost_amount(cost: Any, way: Way) -> float:
    """A balance to the tenth it is told in; a pressure in the system's unit."""
    if cost.kind == "pressure":
        return float(way.number(cost.amount, "pressure"))
    return round(cost.amount, 1) if cost.kind == "balance" else float(cost.amount)


def _tires(ahead: Any, way: Way) -> Plain:
    run = ahead.forecast
    found = {}
    for corner, wear in run.wear_end.items():
        strips = way.number(tuple(run.strips[corner]["worn"]), "temperature")
        found[corner] = {
            "wear_end": wear,
            "laps": run.tire_laps[corner],
            "temps": dict(zip(ZONES, strips, strict=True)),
            "hot_pressure": way.number(run.hot_pressure[corner]["worn"], "pressure"),
            "band": _tire_band(ahead.bands, corner, way),
        }
    return found


def _tire_band(bands: Any, corner: str, way: Way) -> Plain | None:
    """Between what eight of ten cars lie; null where that is not known."""
    if bands is None:
        return None
    ends = zip(
        bands.wear_end[corner], bands.tire_laps[corner], way.number(bands.hot_pressure[corner], "pressure"), strict=True
    )
    return {
        name: dict(zip(("wear_end", "laps", "hot_pressure"), one, strict=True))
        for name, one in zip(("low", "high"), ends, strict=True)
    }


def _fuel(ahead: Any, way: Way) -> Plain:
    per_lap = ahead.forecast.fuel_per_lap / ahead.case.car.fuel_density
    return {"per_lap": way.number(per_lap, "volume"), "laps": ahead.forecast.fuel_laps}


def _steering(ahead: Any, _: Way) -> Plain:
    """Useful share of the steering, and share of full lock where the lock is known."""
    run, known = ahead.forecast, ahead.case.car.steering_lock is not None
    return {
        phase: {
            stage: {"useful_share": useful, "lock_share": run.lock_share[phase][stage] if known else None}
            for stage, useful in row.items()
        }
        for phase, row in run.useful_share.items()
    }


def _wheel(corner: Any, way: Way) -> Plain:
    shares = {"useful_share": corner.useful_share, "lock_share": corner.lock_share}
    return {"angle": way.number(corner.steer, "angle"), **shares}


def _reading_of(compared: Any) -> str:
    name = compared.reading.quantity
    return "temperature" if name == "tread temperature" else LOG_KINDS[name]


def _rates(reading: Any, way: Way) -> Plain:
    """Difference across the tread for one unit of air and of camber, with the band."""
    found = {}
    for name, rate, quantity in (("air", reading.air, "pressure"), ("camber", reading.camber, "angle")):
        one = 1.0 / way.number(1.0, quantity)
        value, *band = way.number(tuple(part * one for part in (rate.value, rate.low, rate.high)), "temperature_change")
        found[name] = {"value": value, "band": band, "per": way.unit(quantity), "from": rate.told, "pairs": rate.pairs}
    return found


KEYS: Mapping[str, str] = {
    "Advice": "complaint stop balance guessed_values=guesses not_legal open_questions causes remedies packages as_said",
    "Complaint": "text cells other not_understood",
    "Cell": "phase stage end balance severity severity_given",
    "OpenQuestion": "id text",
    "Each": "complaint removes",
    "CauseFound": "id title chance word for against",
    "Remedy": "rank kind id title change:lever unit steps from:lever=start to:lever=finish legal "
    "start_is_guessed=guessed limited_by direction removes at_once spoils each effect ends tire_life_laps "
    "first_tire_laps=run.first_tire pace_s=run.pace last_lap_s=run.last_lap hot_pressure confidence basis when reason "
    "costs check_again cautions sources facts",
    "Cost": "kind where amount unit text",
    "Entry": "id when=at car kind text taken_back=gone data",
    "Package": "moves removes at_once spoils each effect confidence costs check_again order",
    "PackageMove": "lever steps from:lever=start to:lever=finish start_is_guessed=guessed",
    "RunAhead": "balance ends tires fuel run_ends_by=forecast.run_ends_by steering gears brakes as_said",
    "Table": "caption head rows",
    "Gear": "gear final_drive overall rpm_max rpm_min limiter_s lap_s fuel_laps",
    "Brakes": "share_ideal lock_first",
    "Calibration": "log kept refused numbers=learned agreement readings=compared drift_per_ten_laps=drift notes",
    "Shown": "value low high",
    "Learned": "id title determined factor factor_band uncertainty_left=left",
    "Agreement": "quantity readings=count unit before:log fitted:log=after",
    "Compared": "quantity=reading.quantity corner lap=reading.lap unit measured fitted",
    "Drift": "quantity corner unit measured:log fitted:log",
    "TireReading": "temperature_unit pressure_unit findings spread:temperature_change=spreads build rates notes",
    "Build": "gained:pressure usual:pressure much",
    "Finding": "rule=id tire about=rule.about says=rule.says when difference:temperature_change=by "
    "stricter_rule_agrees=strict confidence backed_by=rule.backed_by lever=rule.lever toward=rule.move move",
    "Move": "steps unit change:lever value:lever wanted:lever band stopped",
    "LineChart": "title says over under laps lines",
    "Corner": "end phase side:acceleration forward:acceleration speed:speed balance=balance.value "
    "loads:force slip limit steering lifted steady",
}
"""The keys of each record in their order, as key:quantity=field; a quantity where numbers need a unit."""
MADE: Mapping[str, Maker] = {
    "Advice.stop": lambda advice, _: None if advice.stop is None else {"reason": say_stop(advice.stop)},
    "Advice.not_legal": lambda one, way: fault_texts(setup_faults(one.case, way.system)) if one.case else [],
    "Advice.as_said": lambda one, _: doubts_data(one.picture),
    "Complaint.not_understood": lambda one, _: list_unread(one.not_understood, one.cut),
    "Advice.balance": lambda one, _: picture_data(one.picture),
    "OpenQuestion.text": lambda question, _: say_question(question),
    "CauseFound.for": lambda cause, _: list(map(say_sign, cause.signs_for)),
    "CauseFound.against": lambda cause, _: list(map(say_sign, cause.signs_against)),
    "Remedy.unit": _unit_of_lever,
    "Remedy.legal": _legal,
    "Remedy.ends": lambda one, _: _ends(one.ends, "effect"),
    "Remedy.tire_life_laps": lambda one, _: _after_by_corner(_read(one, "run.tire_laps")),
    "Package.confidence": _sure,
    "Remedy.hot_pressure": lambda one, way: _after_by_corner(
        way.number(_read(one, "run.hot_pressure") or None, "pressure")
    ),
    "Remedy.confidence": _sure,
    "Remedy.reason": lambda one, _: say_reason(one),
    "Remedy.sources": lambda one, _: say_sources(one.sources),
    "Remedy.facts": lambda one, way: _facts(one, way)[0],
    "Cost.where": lambda cost, _: cost_place(cost),
    "Cost.amount": _cost_amount,
    "Cost.unit": lambda cost, way: way.unit("pressure") if cost.kind == "pressure" else _COST_UNIT[cost.kind],
    "Cost.text": lambda cost, way: say_cost(cost, way.system),
    "Package.moves": _moves,
    "Each.complaint": lambda one, _: complaint_words(one),
    "RunAhead.balance": lambda one, _: picture_data(one.picture),
    "RunAhead.ends": lambda one, _: None if one.picture.shut else _ends(one.forecast.ends, "balance"),
    "RunAhead.tires": _tires,
    "RunAhead.fuel": _fuel,
    "RunAhead.steering": _steering,
    "RunAhead.as_said": lambda one, _: doubts_data(one.picture),
    "Calibration.log": lambda one, _: {"name": one.log.name, "laps": one.log.laps, "left_out": one.left_out},
    "Calibration.refused": lambda one, _: readings.refusals_of(one),
    "Calibration.notes": lambda one, _: readings.say_doubts(one),
    "Calibration.kept": lambda one, _: one.fit is not None,
    "Learned.title": lambda one, _: readings.NUMBERS[one.id],
    "Learned.determined": lambda one, _: f"{one.told} determined",
    "Learned.factor_band": lambda one, _: [one.low / one.before, one.high / one.before],
    "Agreement.unit": _unit_of_log,
    "Compared.corner": lambda one, _: one.reading.corner or None,
    "Compared.unit": lambda one, way: way.unit(_reading_of(one)),
    "Compared.measured": lambda one, way: way.number(one.reading.value, _reading_of(one)),
    "Compared.fitted": lambda one, way: way.number(one.after, _reading_of(one)),
    "Drift.quantity": lambda one, _: readings.drift_name(one),
    "Drift.corner": lambda one, _: one.corner or None,
    "Drift.unit": _unit_of_log,
    "TireReading.temperature_unit": lambda _, way: way.unit("temperature_change"),
    "TireReading.pressure_unit": lambda _, way: way.unit("pressure"),
    "TireReading.build": lambda found, _: {one.tire: one for one in found.builds},
    "TireReading.notes": lambda one, _: readings.say_besides(one),
    "TireReading.rates": _rates,
    "Corner.slip": lambda one, way: way.number({"front": one.slip_front, "rear": one.slip_rear}, "angle"),
    "Corner.limit": lambda one, _: {"axle": one.axle, "tire": one.tire},
    "Corner.steering": _wheel,
    "Move.unit": _unit_of_lever,
    "Move.band": lambda move, way: [way.lever(end, move.lever) for end in (move.low, move.high)],
    "Move.stopped": lambda move, way: None if move.stop is None else readings.stop_words(move.stop, way.system),
}
"""What stands under a key that is no field as it is."""
