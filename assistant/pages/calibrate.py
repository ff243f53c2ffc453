"""What a calibration found: the numbers before and after, measured against fitted, what drifts, what is not known."""

from __future__ import annotations

from statistics import fmean
from typing import TYPE_CHECKING

from assistant.car.file_keys import FIT_KEYS
from assistant.car.keys import write_key
from assistant.ground.names import CORNERS, count_of
from assistant.ground.quantities import LOG_KINDS
from assistant.ground.units import show, unit_of
from assistant.pages.amounts import sentence
from assistant.pages.blocks import BLANK, Block, Line, Table, lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from assistant.belief.log_fit import Beside, Calibration, Learned
    from assistant.belief.log_readings import Compared, Drift
    from assistant.ground.units import System


NUMBERS = {
    "wear": "wear rate",
    "heat": "heat from sliding",
    "rolling": "heat from rolling",
    "cooling": "cooling",
    "gas": "lag of the air inside",
    "gas_share": "warmth of the air inside",
    "worn_grip": "grip lost with the tread",
    "fuel": "fuel use",
}
"""What a log may teach, by id."""
ODD = {
    "tread": ("reads hotter", "reads cooler"),
    "pressure": ("builds more air", "builds less air"),
    "wear": ("wears faster", "wears slower"),
}
"""What is said of a tire that reads more or less than the model's."""
DECIMALS = {"lap time": 2, "tread temperature": 0, "hot pressure": 1, "wear": 3, "fuel": 2}
"""Decimals (trade) of a difference of each quantity."""
SHORT_NAMES = {"tread temperature": "tread", "hot pressure": "hot air", "wear": "wear", "fuel": "fuel used"}
"""Names that leave room for four tires beside them."""
LAPS_TOGETHER = 10
"""Laps whose lap times make one row."""


def calibration_screen(found: Calibration, system: System) -> list[Block]:
    """Show everything, refusals first."""
    log = found.log
    head = f"{log.name}: {count_of(log.laps, 'lap')}, {count_of(len(found.compared), 'reading')} compared"
    blocks: list[Block] = [Line(head, mark="heading")]
    blocks += [Line(sentence(f"nothing is kept: {reason}"), mark="caution") for reason in refusals_of(found)]
    blocks += [_numbers(found, system), *_not_told(found), BLANK, _agreement(found, system), BLANK]
    blocks += [*_readings(found.compared, system), *_lap_times(found.compared), _drift(found.drift, system)]
    return [*blocks, *lines(notes_of(found))]


def refusals_of(found: Calibration) -> list[str]:
    """Say why a fit may not be kept: a number at the end of what is possible, or a model that does not follow."""
    reached = [
        f"the {NUMBERS[one.id]} would have to be {one.factor:.2f} times what the files say, or more; "
        "is it the log of another car, or a column in the wrong unit?"
        for one in found.out_of_reach
    ]
    followed = [
        f"the model cannot follow the {quantity} of this log: it stays off by {far:.0f} times what gauge and model "
        "may be off"
        for quantity, far in found.not_followed
    ]
    return reached + followed


def notes_of(found: Calibration) -> list[str]:
    """Say what a reader must know: numbers known only together, tires not measured or odd, laps left out."""
    said = [
        f"{NUMBERS[one]} and {NUMBERS[other]} are known only together; their single values may trade off."
        for one, other in found.tied
    ]
    if found.not_measured:
        said.append(f"Not measured: {', '.join(found.not_measured)}; it follows the others by the one tire law.")
    if found.left_out:
        said.append(f"Laps left out as not driven freely: {', '.join(map(str, found.left_out))}.")
    return [*said, *odd_tires(found.beside)]


def odd_tires(beside: Sequence[Beside]) -> list[str]:
    """Say which tires read far from the model all run long."""
    said = []
    for one in beside:
        more = ODD[one.quantity][one.value < 0.0]
        said.append(
            f"{one.corner} {more} than the model's all run long, {abs(one.times):.0f} times what the model may be off: "
            "look at the gauge, at a dragging brake and at the tire itself. It is kept as a habit of that corner."
        )
    return said


def drift_name(one: Drift) -> str:
    """Name what drifts; balance with its phase."""
    return f"{one.quantity}, {one.phase}" if one.phase else one.quantity


def value_words(one: Learned, value: float, system: System) -> tuple[str, str]:
    """Say a fitted value to three digits, and its unit: ("0.11", "mm per MJ")."""
    key = next(key for key in FIT_KEYS if key.field == one.field)
    number, _, unit = write_key(key, value, system).partition(" ")
    return f"{float(number):.3g}", unit


def remarks_of(found: Calibration, system: System) -> dict[str, str]:
    """Say behind each value of a fit file what the files had."""
    return {
        one.field: f"{one.told} determined; the files say {' '.join(value_words(one, one.before, system))}"
        for one in found.learned
        if one.kept
    }


def _numbers(found: Calibration, system: System) -> Table:
    rows = []
    for one in found.learned:
        before, after, low, high = (
            value_words(one, value, system)[0] for value in (one.before, one.after, one.low, one.high)
        )
        unit = value_words(one, one.before, system)[1]
        band = f"{low} to {high}" if one.kept else ""
        rows.append((NUMBERS[one.id], unit, before, after if one.kept else "", band, one.told))
    return Table(
        ("number", "unit", "before", "fitted", "eight of ten", "determined"),
        tuple(rows),
        "Well: less than half of what was uncertain before is left; not: nearly all of it is.",
    )


def _not_told(found: Calibration) -> list[Block]:
    blind = [NUMBERS[one.id] for one in found.learned if not one.kept]
    if len(blind) == len(found.learned):
        return [Line("This log determines none of these numbers: more laps, and readings of the tires, would.")]
    return [Line(f"This log cannot tell: {', '.join(blind)}. Left as in the files.")] if blind else []


def _agreement(found: Calibration, system: System) -> Table:
    rows = [
        (one.quantity, str(one.count), *(_difference(one.quantity, off, system) for off in (one.before, one.after)))
        for one in found.agreement
    ]
    said = "Root of the mean square. Lap times are compared by their shape, not their level."
    return Table(("off by", "readings", "before", "fitted"), tuple(rows), said)


def _readings(compared: Sequence[Compared], system: System) -> list[Block]:
    """Measured, and how far the fit is off; one row per lap and quantity, the tires side by side; then the fuel."""
    rows: dict[tuple[int, str], dict[str, str]] = {}
    for one in compared:
        mine = one.reading
        if mine.quantity != "lap time":
            off = _difference(mine.quantity, one.after - mine.value, system, signed=True, unit=False)
            cells = rows.setdefault((mine.lap, mine.quantity), {})
            cells[mine.corner] = f"{_plain(mine.quantity, mine.value, system)} {off}"
    names = {quantity: f"{SHORT_NAMES[quantity]}, {_unit(quantity, system)}" for quantity in SHORT_NAMES}
    said = "Beside each reading, how much the fitted value is above (+) or below (-)."
    tires, fuel = [], []
    for (lap, quantity), cells in sorted(rows.items()):
        if "" in cells:
            fuel.append((str(lap), cells[""]))
        else:
            tires.append((str(lap), names[quantity], *(cells.get(corner, "") for corner in CORNERS)))
    blocks: list[Block] = [Line("Measured, and how far the fit is off:")] if rows else []
    blocks += [Table(("lap", "reading", *CORNERS), tuple(tires), said), BLANK] if tires else []
    return blocks + ([Table(("lap", names["fuel"]), tuple(fuel), "" if tires else said), BLANK] if fuel else [])


def _lap_times(compared: Sequence[Compared]) -> list[Block]:
    tens: dict[int, list[Compared]] = {}
    for one in compared:
        if one.reading.quantity == "lap time":
            tens.setdefault((one.reading.lap - 1) // LAPS_TOGETHER, []).append(one)
    rows = []
    for ten, ones in sorted(tens.items()):
        measured, fitted = fmean(one.reading.value for one in ones), fmean(one.after for one in ones)
        laps = f"{LAPS_TOGETHER * ten + 1} to {LAPS_TOGETHER * (ten + 1)}"
        rows.append((laps, f"{measured:.2f}", f"{fitted:.2f}", f"{fitted - measured:+.2f}"))
    if not rows:
        return []
    return [Table(("laps", "mean lap time (s)", "fitted", "difference"), tuple(rows), ""), BLANK]


def _drift(drift: Sequence[Drift], system: System) -> Table:
    rows: list[tuple[str, ...]] = []
    for one in drift:
        name = f"{one.corner} {drift_name(one)}".strip()
        if one.measured is None:
            rows.append((name, "", f"{one.fitted:+.2f} %"))
        else:
            both = (_difference(one.quantity, value, system, signed=True) for value in (one.measured, one.fitted))
            rows.append((name, *both))
    said = "Once warm, over the longest stretch on the same tires. Balance is computed: + tighter, - looser."
    return Table(("per ten laps", "measured", "fitted"), tuple(rows), said)


def _difference(quantity: str, value: float, system: System, *, signed: bool = False, unit: bool = True) -> str:
    kind, places = LOG_KINDS[quantity], DECIMALS[quantity]
    return show(value, kind, system=system, places=places if system == "trade" else None, signed=signed, unit=unit)


def _plain(quantity: str, value: float, system: System) -> str:
    kind, places = ("temperature", 0) if quantity == "tread temperature" else (LOG_KINDS[quantity], DECIMALS[quantity])
    return show(value, kind, system=system, places=places if system == "trade" else None, unit=False)


def _unit(quantity: str, system: System) -> str:
    return unit_of("temperature" if quantity == "tread temperature" else LOG_KINDS[quantity], system)
