"""What was read: what the tires say and what to change for it; and what a run log taught, before and after.

Of tires: probe notes, moves of air and camber, then what the four say of balance. Of a log: measured against fitted,
what drifts, what is not known.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from assistant.car.file_keys import FIT_KEYS, LAP_TIME_KEY, MEASURED_KEYS, TREAD_KEY
from assistant.car.keys import LEVER_KIND, lever_name, write_key
from assistant.ground.names import CORNERS, count_of
from assistant.ground.quantities import LOG_KINDS
from assistant.ground.units import from_unit, show, unit_of
from assistant.pages.amounts import move_words, say_sources, sentence
from assistant.pages.blocks import BLANK, Block, Line, Table, lines
from assistant.rules.knowledge import Knowledge, cite

if TYPE_CHECKING:
    from assistant.belief.log_fit import Calibration, Learned
    from assistant.belief.log_readings import Compared, Drift
    from assistant.car.case import Case
    from assistant.car.keys import Key
    from assistant.car.moves import LeverStop
    from assistant.diagnosis.tire_reading import Finding, TireReading
    from assistant.ground.units import System


READING_KEYS: Mapping[str, Key] = {one.field: one for one in (TREAD_KEY, *MEASURED_KEYS, LAP_TIME_KEY)}
"""What may be read, by its name among what was measured."""
NO_READINGS = "The case has no readings of its tires: add a block 'measured' with temperatures, inside first."
WORDS = {"pressure": "Air", "camber": "Camber", "toe": "Toe", "balance": "Balance", "cross": "Cross weight"}
STRICT = {
    True: "The stricter rule (middle above or below both edges) agrees.",
    False: "The stricter rule (middle above or below both edges) is silent: it is a small matter.",
}
AIR_FIRST = "Once the air is right: "
FLAT_FIRST = "Judge this once every tire reads flat."
NOT_WEIGHED = "This evens the tread; what it does to the complaint is not weighed here: {} {} {} shows it."


def tires_screen(found: TireReading, case: Case, knowledge: Knowledge, system: System, ask: str = "try") -> list[Block]:
    """Show everything a reading says. ask: what shows a change on the whole car."""
    blocks: list[Block] = []
    if found.spreads:
        blocks += [_strips(found, case, system), Line(_spread_words(found, system)), BLANK]
        blocks += lines([] if found.findings else ["Nothing to change: every tread is even enough."])
    for number, one in enumerate(found.findings, 1):
        blocks += _finding(number, one, case, knowledge, system)
    blocks += lines([_not_weighed(found, system, ask)])
    blocks += [BLANK, _builds(found, system)] if found.builds else []
    return [
        *blocks,
        *lines([*say_besides(found), _wear(case, knowledge, system)]),
        *lines([_rate_words(found, system), knowledge.tire_reading["probe"].says], "quiet"),
        *lines(_cautions(found, knowledge), "caution"),
    ]


def say_besides(found: TireReading) -> list[str]:
    """Say which tires were not probed, and how the temperatures are to be taken."""
    missing = [f"Not probed: {', '.join(found.not_probed)}."] if found.not_probed else []
    return [*missing, *(rule.says for rule in found.besides)]


def _strips(found: TireReading, case: Case, system: System) -> Table:
    def row(corner: str) -> tuple[str, ...]:
        zones = [show(one, "temperature", system=system, unit=False) for one in case.measured.temperatures[corner]]
        return corner, *zones, show(found.spreads[corner], "temperature_change", system=system, unit=False)

    said = f"In {'F' if system == 'trade' else 'C'}; inside is the edge toward the middle of the car."
    rows = tuple(row(corner) for corner in CORNERS if corner in found.spreads)
    return Table(("tire", "inside", "middle", "outside", "spread"), rows, said)


def _spread_words(found: TireReading, system: System) -> str:
    fine, target = (show(value, "temperature_change", system=system) for value in (found.fine, found.target))
    over = [corner for corner, spread in found.spreads.items() if spread > found.fine + 1e-6]
    said = f"Up to {fine} across a tread is called fine; the aim is under {target}."
    return said + (f" Over it: {', '.join(over)}." if over else " No tire is over it.")


def _finding(number: int, one: Finding, case: Case, knowledge: Knowledge, system: System) -> list[Block]:
    rule, order = one.rule, _order(one, case, knowledge, system)
    after_air = one.when == "later" and rule.about == "camber"
    after_all = one.when == "later" and rule.about != "camber"
    said = [
        sentence((AIR_FIRST if after_air else "") + order) if order else "",
        sentence(rule.says),
        FLAT_FIRST if after_all else "",
        "" if one.strict is None else STRICT[one.strict],
    ]
    sources = "; ".join(say_sources(cite(rule.backed_by, knowledge)))
    return [
        Line(f"{WORDS[rule.about]}. {sentence(rule.title)}", lead=str(number)),
        *lines(said, indent=3),
        Line(f"Confidence {one.confidence}; {sources}.", indent=3, mark="quiet"),
    ]


def _order(one: Finding, case: Case, knowledge: Knowledge, system: System) -> str:
    """Say the move as an order, with the range its size may have; or why it cannot be made."""
    lever = one.rule.lever
    if lever is None:
        return ""
    words = knowledge.levers[lever]
    move = one.move
    if move is None:
        verb = words.plus_verb if knowledge.move_sign(lever, one.rule.move or "") > 0 else words.minus_verb
        return f"it points to: {verb} the {words.title}; measure first"
    if not move.steps:
        return stop_words(move.stop, system) if move.stop is not None else ""
    kind = "pressure" if one.rule.about == "pressure" else "angle"
    order = move_words(words, case.setup.values[lever], move.value, move.change, system)
    by = show(abs(one.by), "temperature_change", system=system)
    wanted = show(move.wanted, kind, system=system)
    low, high = (show(value, kind, system=system, unit=False) for value in (move.low, move.high))
    most = show(move.most, kind, system=system)
    at_a_time = f"; {most} at a time" if move.wanted > move.most else ""
    half = f"; {stop_words(move.stop, system)}" if move.stop is not None else ""
    return f"{order} ({by} off asks for {wanted}, by the band {low} to {high}{at_a_time}){half}"


def _not_weighed(found: TireReading, system: System, ask: str) -> str:
    """Say that the treads alone do not tell what the first move does to the car, and what does."""
    move = next((one.move for one in found.findings if one.move is not None and one.move.steps), None)
    if move is None:
        return ""
    value = show(move.value, LEVER_KIND[move.lever], system=system)
    return NOT_WEIGHED.format(ask, lever_name(move.lever), value)


def _builds(found: TireReading, system: System) -> Table:
    rows = tuple(
        (
            one.tire,
            show(one.gained, "pressure", system=system),
            show(one.usual, "pressure", system=system),
            "much" if one.much else "",
        )
        for one in found.builds
    )
    said = "Usual: one page on ovals. Much more means heat, damp air, or a tire that is overloaded."
    return Table(("tire", "air gained", "usual", "is it much"), rows, said)


def _wear(case: Case, knowledge: Knowledge, system: System) -> str:
    wear = case.measured.wear
    if not wear:
        return ""
    most = max(wear, key=lambda corner: wear[corner])
    laps = f" in {count_of(case.measured.laps, 'lap')}" if case.measured.laps else ""
    lost = show(wear[most], "short_length", system=system, places=3 if system == "trade" else 1)
    follows = knowledge.tire_reading["wear-follows-heat"].says
    return f"The {most} has lost the most tread, {lost}{laps}. {follows}"


def _rate_words(found: TireReading, system: System) -> str:
    air = ("psi", from_unit(1.0, "psi", "pressure")) if system == "trade" else ("10 kPa", 1e4)
    parts = []
    for rate, (per, one) in ((found.air, air), (found.camber, ("degree of camber", from_unit(1.0, "deg", "angle")))):
        value = show(rate.value * one, "temperature_change", system=system, places=1)
        measured = rate.told == "measured"
        behind = f"measured on {count_of(rate.pairs, 'pair')} of readings" if measured else "assumption, from memory"
        parts.append(f"{value} a {per} ({behind})")
    return f"Sizes come from {' and '.join(parts)}. Change one thing, run, and read again."


def _cautions(found: TireReading, knowledge: Knowledge) -> tuple[str, ...]:
    levers = [knowledge.levers[one.rule.lever] for one in found.findings if one.rule.lever]
    return knowledge.cautions_for(["tire_maker", *(key for lever in levers for key in lever.cautions)])


def stop_words(stop: LeverStop, system: System = "trade") -> str:
    """Say why a lever goes no further: "track bar right: already at its most, 13 in"."""
    if stop.end == "fixed":
        return f"{stop.name}: the rulebook does not let it be changed"
    where = "least" if stop.end == "min" else "most"
    return f"{stop.name}: already at its {where}, {show(stop.value, stop.kind, system=system, fraction=True)}"


def say_reading(field: str, value: Any, case: Case, system: System) -> str:
    """Say a reading: "hot pressure RR 24.5 psi"."""
    key = READING_KEYS[field]

    def said(*values: float) -> str:
        return " ".join(show(one, key.kind, system=system, unit=False, fraction=True) for one in values)

    if isinstance(value, Mapping):
        rows = [f"{corner} {said(*(one if isinstance(one, tuple) else (one,)))}" for corner, one in value.items()]
        shown = ", ".join(rows)
    elif field == "fuel_used":
        shown = said(value / case.car.fuel_density)
    else:
        shown = said(*(value if isinstance(value, tuple) else (value,)))
    return f"{key.path[-1]} {shown} {unit_of(key.kind, system)}".strip()


def readings_of(case: Case, system: System) -> list[str]:
    """Say every reading of a case."""
    values = {field: getattr(case.measured, field, None) for field in READING_KEYS}
    return [say_reading(field, value, case, system) for field, value in values.items() if value]


# what a run log taught

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
    return [*blocks, *lines(say_doubts(found))]


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


ANOTHER = "Its laps are {:.0f} % {} than the model's: is it the log of this car on this track?"


def say_doubts(found: Calibration) -> list[str]:
    """Say what a reader must know: numbers known only together, tires not measured or far off, laps left out."""
    said = [
        f"{NUMBERS[one]} and {NUMBERS[other]} are known only together; their single values may trade off."
        for one, other in found.tied
    ]
    if found.not_measured:
        said.append(f"Not measured: {', '.join(found.not_measured)}; it follows the others by the one tire law.")
    if found.left_out:
        said.append(f"Laps left out as not driven freely: {', '.join(map(str, found.left_out))}.")
    if found.slower:
        said.append(ANOTHER.format(100.0 * abs(found.slower), "slower" if found.slower > 0.0 else "quicker"))
    return said + [
        f"{one.corner} {ODD[one.quantity][one.value < 0.0]} than the model's all run long, {abs(one.times):.0f} times "
        "what the model may be off: look at the gauge, at a dragging brake and at the tire itself. It is kept as a "
        "habit of that corner."
        for one in found.beside
    ]


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
        measured = sum(one.reading.value for one in ones) / len(ones)
        fitted = sum(one.after for one in ones) / len(ones)
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
    places = DECIMALS[quantity] if system == "trade" else None
    return show(value, LOG_KINDS[quantity], system=system, places=places, signed=signed, unit=unit)


def _plain(quantity: str, value: float, system: System) -> str:
    """Write a reading itself, which for a tread is a temperature and no difference of two."""
    if quantity != "tread temperature":
        return _difference(quantity, value, system, unit=False)
    return show(value, "temperature", system=system, places=0 if system == "trade" else None, unit=False)


def _unit(quantity: str, system: System) -> str:
    return unit_of("temperature" if quantity == "tread temperature" else LOG_KINDS[quantity], system)
