"""What the tires say, on the screen: probe notes, moves of air and camber, then what the four say of balance."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from assistant.car.file_keys import LAP_TIME_KEY, MEASURED_KEYS, TREAD_KEY
from assistant.car.keys import LEVER_KIND, lever_name
from assistant.ground.names import CORNERS, count_of
from assistant.ground.units import from_unit, show, unit_of
from assistant.pages.amounts import move_words, say_sources, sentence
from assistant.pages.blocks import BLANK, Block, Line, Table, lines
from assistant.rules.knowledge import Knowledge, cite

if TYPE_CHECKING:
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
        *lines([*notes_of(found), _wear(case, knowledge, system)]),
        *lines([_rate_words(found, system), knowledge.tire_reading["probe"].says], "quiet"),
        *lines(_cautions(found, knowledge), "caution"),
    ]


def notes_of(found: TireReading) -> list[str]:
    """Say which tires were not probed, and how the temperatures are to be taken."""
    missing = [f"Not probed: {', '.join(found.not_probed)}."] if found.not_probed else []
    return [*missing, *(rule.says for rule in found.besides)]


def _strips(found: TireReading, case: Case, system: System) -> Table:
    rows = []
    for corner in CORNERS:
        if corner in found.spreads:
            zones = case.measured.temperatures[corner]
            shown = [show(value, "temperature", system=system, unit=False) for value in zones]
            rows.append((corner, *shown, show(found.spreads[corner], "temperature_change", system=system, unit=False)))
    said = f"In {'F' if system == 'trade' else 'C'}; inside is the edge toward the middle of the car."
    return Table(("tire", "inside", "middle", "outside", "spread"), tuple(rows), said)


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
