"""Numbers as a person says them: lever values with units, moves as orders, shares, chances, sources."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from assistant.advice.results import PackageMove
from assistant.car.case import Setup, kind_of
from assistant.car.keys import LEVER_KIND, SMALLER_IS_MORE
from assistant.ground.names import PHASE_WORDS, count_of, say_number
from assistant.ground.problems import Problem
from assistant.ground.quantities import QUANTITIES
from assistant.ground.units import System, from_unit, show, to_unit, unit_of

if TYPE_CHECKING:
    from assistant.belief.outcome import RunAfter
    from assistant.rules.knowledge import Citation
    from assistant.rules.models import Lever

FIXED, NOT_HERE = "fixed by the rules", "not here, or not to be touched"
"""Why a lever is not moved."""
FROM_ANYWHERE = "from wherever it is (you did not say where)"
NEARLY = 0.35
"""From this chance on a cause does not stand out, but "none does" would be wrong. Own judgment, no source."""
_SHARES = (
    (0.07, "very little"),
    (0.15, "about a tenth"),
    (0.22, "about a fifth"),
    (0.29, "about a quarter"),
    (0.42, "about a third"),
    (0.58, "about half"),
    (0.71, "about two thirds"),
    (0.85, "about three quarters"),
)
ALL_OF_IT = 0.97
"""Share from which all of it goes, as far as anybody could tell."""

Levers = Mapping[str, "Lever"]
"""The levers of the packs, by id."""


def lever_value(lever: str, value: float, system: System, *, setup: Setup | None = None) -> str:
    """Say a lever's value: "9 1/2 in", "51.75 %"; metric in the si system. setup: tells of levers of a team's own."""
    return _exact(value, LEVER_KIND[lever] if setup is None else kind_of(lever, setup), system)


def lever_change(lever: str, change: float, system: System, *, setup: Setup | None = None) -> str:
    """Say the size of a change without its sign: "1/2 in", "2 clicks". setup: as for a value."""
    return lever_value(lever, abs(change), system, setup=setup)


def move_words(
    words: Lever,
    start: float | None,
    finish: float | None,
    change: float,
    system: System,
    *,
    guessed: bool = False,
) -> str:
    """Say a move as an order: "lower the right end of the track bar 1/2 in, from 10 to 9 1/2".

    guessed: nobody said where it stands, so it is told as a change from there.
    """
    plus = (change > 0) is not (words.lever in SMALLER_IS_MORE)
    verb = words.plus_verb if plus else words.minus_verb
    title = words.title + ("," if "," in words.title else "")
    kind = words.quantity or "count"
    if start is not None and finish is not None and system == "si":  # steps of the trade are rounded there: they add up
        change = _as_shown(finish, kind, system) - _as_shown(start, kind, system) or change
    size = _exact(abs(change), kind, system) if unit_of(kind, system) else ""  # a bare "2" says nothing
    said = f"{verb} the {title} {size}".strip()
    if guessed:
        return f"{said}, {FROM_ANYWHERE}"
    if start is None or finish is None:
        return said
    old, new = (_exact(value, kind, system, unit=False) for value in (start, finish))
    return f"{said}, from {old} to {new}"


def portion_words(share: float, whole: str = "all") -> str:
    """Say a share of something: "about a third"; whole: what to say of all of it."""
    if share >= ALL_OF_IT:
        return whole
    return next((words for limit, words in _SHARES if share < limit), f"nearly {whole}")


THE_COMPLAINT = "the complaint"


def share_words(share: float, whole: str = THE_COMPLAINT) -> str:
    """Say a share of the complaint: "about a third of the complaint"."""
    return f"{portion_words(share)} of {whole}"


def cure_words(removes: float | None, whole: str = THE_COMPLAINT) -> str:
    """Say how much of the complaint goes, the same everywhere: "cures about a third of the complaint"."""
    if removes is None:
        return "how much of it goes is not computed"
    return f"cures {share_words(removes, whole)}"


def alone_words(move: PackageMove) -> str:
    """Say what one move of a package does without the others."""
    if move.contributes <= move.spoils:
        return "alone it spoils more than it cures"
    return f"alone it {cure_words(move.contributes)}"


def trade_words(said: Mapping[str, str], verdicts: Mapping[str, str]) -> str:
    """Say the trade's word phase by phase, each with what it comes to beside the computation, once where all is alike.

    said: phase to tighter, looser, none or depends. verdicts: of those phases that were held against the car.
    """
    words = {}
    for phase, view in said.items():
        plain = {"none": "no change", "depends": "it depends"}.get(view, view)
        words[phase] = (plain, f" ({verdicts[phase]})" if phase in verdicts and view != "depends" else "")
    if len(set(words.values())) == 1 and set(said) == set(PHASE_WORDS):
        plain, verdict = next(iter(words.values()))
        return f"{plain} all through the corner{verdict}"
    return ", ".join(f"{plain} {PHASE_WORDS.get(phase, phase)}{verdict}" for phase, (plain, verdict) in words.items())


def cars_words(chance: float) -> str:
    """Say a chance as cars in ten: "9 of 10 plausible cars", "nearly all plausible cars"; nothing is certain."""
    tenths = round(10.0 * chance)
    return {0: "hardly any", 10: "nearly all"}.get(tenths, f"{tenths} of 10") + " plausible cars"


def guess_words(guesses: int) -> tuple[str, ...]:
    """Say in one line how many guessed values stand behind an advice; nothing when none does."""
    return (f"Behind this stand {count_of(guesses, 'value')} that nobody measured, only guessed.",) if guesses else ()


def no_cause_words(title: str, chance: float, treated: str = "") -> str:
    """Say that no cause stands out and which is the likeliest. treated: the symptom that levers treat instead."""
    likeliest = f"likeliest, {say_number(chance)}: {title}"
    none = "No cause is certain yet" if chance >= NEARLY else "No cause stands out"
    return f"{none} ({likeliest})." + (f" Levers treat '{treated}'." if treated else "")


SEEN_BEFORE_FELT = "What was told speaks for both: what was seen from outside counts before what was felt."


def opposite_words(one: str, other: str, test: str) -> str:
    """Say that two likely causes want opposite changes, and what tells which; test: "" where that was looked at."""
    tells = f"Before either: {test}" if test else SEEN_BEFORE_FELT
    return f"{capital(one)}, or {other}: these want opposite changes. {tells}"


def fault_texts(faults: Iterable[Problem]) -> list[str]:
    """Say each fault of a setup with what would do instead."""
    return [f"{fault.says}; {fault.hint}" for fault in faults]


def not_legal_words(faults: Iterable[Problem]) -> list[str]:
    """Say what of a setup is not legal; it stands before everything else."""
    return [f"Not legal: {text}." for text in fault_texts(faults)]


_WITHOUT_SOURCE = {"common practice": "common practice, no source", "memory": "from memory"}


def say_sources(cited: Sequence[Citation]) -> tuple[str, ...]:
    """Say each source once: who, title, year, the page; what is in no list as it is written; with its later pack."""
    return tuple(dict.fromkeys((f"{one.pack}: " if one.pack else "") + _say_source(one) for one in cited))


def _say_source(one: Citation) -> str:
    if one.source is not None:
        year = f", {one.source.year}" if one.source.year else ""
        return f"{one.source.who}, {one.source.title}{year}" + (f", {one.page}" if one.page else "")
    if one.written.startswith("memory:"):
        return f"from memory: {one.written.removeprefix('memory:').strip()}"
    return _WITHOUT_SOURCE.get(one.written, one.written)


def signed(value: float, places: int = 2) -> str:
    """Write a number with its sign; nothing has none."""
    said = f"{value:+.{places}f}"
    return said if float(said) else said[1:]


def say_price(run: RunAfter | None) -> str:
    """Say what a change costs over the run, on 8 of 10 plausible cars: tires, and lap time at its end."""
    return f"{say_tires(run)} {say_lap_time(run)}".strip()


def say_lap_time(run: RunAfter | None) -> str:
    """Say what becomes of the lap time at the end of the run; "" where that is not computed."""
    if run is None or run.last_lap is None:
        return ""
    return f"Lap time at the end: {signed(run.last_lap.low)} to {signed(run.last_lap.high)} s."


def say_tires(run: RunAfter | None, *, brief: bool = False) -> str:
    """Say how many laps sooner the first tire is used up, with the band; "" where that is not computed.

    brief: without the tires that may be the first.
    """
    laps = None if run is None else run.first_tire
    if laps is None:
        return ""
    if not round(laps.low) and not round(laps.high):
        return "No tire cost."
    first = "" if run is None or brief else " or ".join(run.first_to_go)
    tires = f"Tires ({first} first)" if first else "Tires"
    if not laps.sure_of_sign or not round(laps.value):
        return f"{tires}: {count_of(round(max(0.0, -laps.low)), 'lap')} less to {max(0.0, laps.high):.0f} more."
    least, most = sorted((abs(laps.low), abs(laps.high)))
    way = "more" if laps.value > 0 else "less"
    return f"{tires}: {count_of(abs(round(laps.value)), 'lap')} {way} ({least:.0f} to {most:.0f})."


def capital(text: str) -> str:
    """Start with a capital."""
    return text[:1].upper() + text[1:]


def after_colon(text: str) -> str:
    """Fit a sentence behind a colon: its first letter small, unless it is a name such as RR, and no stop."""
    plain = text.strip().rstrip(".")
    return plain if plain[1:2].isupper() else plain[:1].lower() + plain[1:]


def sentence(text: str) -> str:
    """Start with a capital and end with a stop."""
    text = text.strip()
    return capital(text) + ("" if text.endswith((".", "!", "?", ":")) else ".") if text else ""


def _exact(value: float, kind: str, system: System, *, unit: bool = True) -> str:
    places = _places_of(value, kind, system)
    return show(value, kind, system=system, places=places, fraction=system == "trade", unit=unit)


def _as_shown(value: float, kind: str, system: System) -> float:
    """Round a value as it is shown; SI."""
    unit = unit_of(kind, system)
    return from_unit(round(to_unit(value, unit, kind), _places_of(value, kind, system)), unit, kind)


def _places_of(value: float, kind: str, system: System) -> int:
    """Give the decimals of a value: one more where the usual number of them would round a legal step away."""
    quantity = QUANTITIES[kind]
    places = quantity.places if system == "trade" else quantity.metric_places
    number = to_unit(value, unit_of(kind, system), kind)
    return places + (abs(round(number, places) - number) > 0.02 * 10.0**-places)
