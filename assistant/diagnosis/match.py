"""Which symptoms of the pack a complaint is, best first, each with its reason. Causes and remedies come later.

A symptom fits by its balance, phase and stages. One that says more than that ("loose at turn-in", "tight middle snaps
loose") is found only when the driver's words say it too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from assistant.diagnosis.hearing import Heard, complaint_of, hits, lexicon_for, make_names, read
from assistant.diagnosis.phrases import read_pieces
from assistant.diagnosis.stems import stem, word_set
from assistant.ground.names import PHASES
from assistant.ground.understood import Cell, Complaint
from assistant.rules.knowledge import Knowledge
from assistant.rules.models_symptom import Symptom

TREND_BALANCE = {"looser": "loose", "tighter": "tight"}


@dataclass(frozen=True)
class Match:
    """One symptom that fits. score: higher is nearer to what was said.

    whole: the words described two halves at once ("tight in the middle, then loose off"), and it is both.
    typed: the longest of its names that stands in the words as it is, in stems. alone: it is the whole complaint, and
    its name says more than balance and phase.
    """

    symptom: str
    score: float
    whole: bool = False
    typed: tuple[str, ...] = ()
    alone: bool = False


@dataclass(frozen=True)
class _Shape:
    """What a symptom asks of the words.

    pairs: balance and phase it needs together. extra: it says more than balance and phase. said: its names, as stems.
    """

    pairs: frozenset[tuple[str, str]]
    extra: bool
    moments: frozenset[str]
    said: tuple[tuple[str, ...], ...]


def find_symptoms(complaint: Complaint, knowledge: Knowledge) -> tuple[Match, ...]:
    """Return the symptoms that fit, best first; of equals the one that comes first in the pack.

    One whose exact name was typed comes before one with a shorter name inside that name, whichever pack it is from.
    """
    words = _words(complaint.text)
    found = []
    for name, symptom in knowledge.symptoms.items():
        match = _fit(name, symptom, knowledge, complaint, words)
        if match is not None:
            found.append(match)
    return tuple(sorted(_lift_longer_names(found), key=lambda match: -match.score))


def _lift_longer_names(found: Sequence[Match]) -> list[Match]:
    """Put each symptom above those it beats by its name; shorter names first, so that the longest ends on top."""
    lifted = sorted(found, key=lambda match: len(match.typed))
    for at, match in enumerate(lifted):
        beaten = [other.score for other in lifted[:at] if _beats(match, other)]
        if beaten and max(beaten) >= match.score:
            lifted[at] = replace(match, score=max(beaten) + 0.01)
    order = {match.symptom: place for place, match in enumerate(found)}
    return sorted(lifted, key=lambda match: order[match.symptom])


def _beats(match: Match, other: Match) -> bool:
    if len(match.typed) <= len(other.typed):
        return False
    return match.alone or (bool(other.typed) and _in_order(other.typed, match.typed))


def _fit(
    name: str,
    symptom: Symptom,
    knowledge: Knowledge,
    complaint: Complaint,
    words: tuple[str, ...],
) -> Match | None:
    if symptom.balance == "none":
        said = (_words(text) for text in (name, *symptom.also_said))
        return Match(name, 4.0, typed=_typed(tuple(said), words)) if name in complaint.other else None
    cells = [cell for cell in complaint.cells if cell.balance in {"loose", "tight"}]
    hit = [cell for cell in cells if hits(cell, symptom)]
    if not hit and len({cell.balance for cell in cells}) < 2:
        return None  # nor can it be two halves: its name need not be read
    shape = _shape(symptom, knowledge)
    typed = _typed(shape.said, words)
    if len(shape.pairs) > 1:
        return _fit_pair(name, shape, cells, typed)
    said_so = max((len(phrase) for phrase in shape.said if _in_order(phrase, words)), default=0)
    if not hit or (
        shape.extra
        and not (said_so or not shape.moments.isdisjoint(complaint.moments) or _at_one_end(symptom, knowledge, hit))
    ):
        return None
    wide = symptom.phase == "all" and not symptom.trend and not shape.extra
    everywhere = {cell.phase for cell in hit} == set(PHASES)
    changes = not symptom.trend or len(typed) > 2 or _changes(hit, cells, symptom)
    if not changes or (wide and not everywhere):
        return None
    match = _score(name, symptom, shape, hit, cells, said_so=said_so)
    return replace(match, typed=typed, alone=shape.extra and len(hit) == len(cells) and not complaint.other)


def _typed(names: Sequence[tuple[str, ...]], words: tuple[str, ...]) -> tuple[str, ...]:
    """Return the longest name that stands in the words without others between; empty for none."""
    whole = [name for name in names if any(words[at : at + len(name)] == name for at in range(len(words)))]
    return max(whole, key=len, default=())


def _at_one_end(symptom: Symptom, knowledge: Knowledge, hit: list[Cell]) -> bool:
    """Whether all of it was said of one end of the track, and some other name of the symptom speaks of one."""
    return all(cell.end is not None for cell in hit) and any(
        claim.end in {"first", "second"} for text in symptom.also_said for claim in read(text, knowledge).said.claims
    )


def _score(name: str, symptom: Symptom, shape: _Shape, hit: list[Cell], cells: list[Cell], *, said_so: int) -> Match:
    """Add up how exactly it fits: the share of the complaint it covers, then how exactly it says where and when."""
    covered = sum(cell.severity for cell in hit) / sum(cell.severity for cell in cells)
    phases = {cell.phase for cell in hit}
    wide = symptom.phase == "all"
    exact = len(phases) / 3 if wide else 1.0
    narrow_phase = 0.5 if not wide and phases == {cell.phase for cell in cells} else 0.0
    stages = {cell.stage for cell in cells}
    whole = len(symptom.stages) == 3
    timely = 0.4 if not whole and stages <= set(symptom.stages) else 0.2 if whole and len(stages) == 3 else 0.0
    score = 2 * covered + exact + narrow_phase + timely + _word_for_word(shape, said_so)
    return Match(name, score)


def _word_for_word(shape: _Shape, said_so: int) -> float:
    """Credit words the symptom's own file uses, the more of them the better; most where the symptom hangs on them."""
    if said_so < 2:
        return 0.0
    return min(1.5, 0.5 + 0.25 * said_so) + (0.8 if shape.extra else 0.0)


def _fit_pair(name: str, shape: _Shape, cells: list[Cell], typed: tuple[str, ...]) -> Match | None:
    """Fit a symptom of two balances at once: every part of it must be in the complaint, or it is something else."""
    marked = {(cell.balance, cell.phase) for cell in cells}
    if not shape.pairs <= marked or (shape.extra and not typed):
        return None
    extra = len(marked - shape.pairs)
    return Match(name, 4.6 - 0.6 * extra, whole=True, typed=typed)


def _changes(hit: list[Cell], cells: list[Cell], symptom: Symptom) -> bool:
    """Tell whether the complaint changes through the run the way the symptom does: there late, not there at first."""
    balance = TREND_BALANCE[symptom.trend or ""]
    late = {cell.phase for cell in hit if cell.stage == "worn"}
    early = {cell.phase for cell in cells if cell.balance == balance and cell.stage == "fresh"}
    return bool(late - early)


def make_shapes(_: Knowledge) -> dict[str, _Shape]:
    """Keep the shapes of symptoms, each worked out when it is first needed; ask for them with `knowledge.once`."""
    return {}


def _shape(symptom: Symptom, knowledge: Knowledge) -> _Shape:
    shapes = knowledge.once(make_shapes)
    if symptom.symptom not in shapes:
        shapes[symptom.symptom] = _make_shape(symptom, knowledge)
    return shapes[symptom.symptom]


def _make_shape(symptom: Symptom, knowledge: Knowledge) -> _Shape:
    reading = read(symptom.symptom, knowledge)
    said = tuple(_words(text) for text in (symptom.symptom, *symptom.also_said))
    pairs = _pairs(reading)
    if len({balance for balance, _ in pairs}) > 1:
        return _Shape(pairs, extra=bool(_leftover(symptom.symptom, knowledge)), moments=frozenset(), said=said)
    own = complaint_of(reading)
    phases = {cell.phase for cell in own.cells if cell.balance == symptom.balance}
    wanted = set(PHASES) if symptom.phase in {"all", "none"} else {symptom.phase}
    more = bool(
        reading.said.moments or own.not_understood or own.cut or own.other or _leftover(symptom.symptom, knowledge)
    )
    extra = not symptom.trend and (
        phases != wanted or more or not knowledge.once(make_names).reads_alone(symptom.symptom)
    )
    return _Shape(frozenset(), extra, frozenset(reading.said.moments), said)


def _pairs(reading: Heard) -> frozenset[tuple[str, str]]:
    """Return (balance, phase) of every claim that names its phase; two balances make a symptom of two halves."""
    return frozenset(
        (claim.balance, phase)
        for claim in reading.said.claims
        if claim.balance in {"loose", "tight"} and not claim.denied
        for phase in claim.phases or claim.usual_phases
    )


def _leftover(name: str, knowledge: Knowledge) -> tuple[str, ...]:
    """Return the weighty words of a name that no phrase took in ("bumps" in "loose on bumps")."""
    pieces = read_pieces(name, lexicon_for(name, knowledge))
    taken = {word for piece in pieces if piece.kind == "mark" for word in _words(piece.text)}
    return tuple(word for word in _words(name) if word not in taken)


_LIGHT = word_set("a an the it its is are was of to at and or i my when that with as then on")


def _words(text: str) -> tuple[str, ...]:
    """Return the stems of a text's words in order, light words left out."""
    plain = text.lower().replace("'", "").replace("’", "")
    cleaned = "".join(letter if letter.isalnum() else " " for letter in plain)
    return tuple(stem(word) for word in cleaned.split() if word not in _LIGHT)


def _in_order(phrase: tuple[str, ...], words: tuple[str, ...]) -> bool:
    """Tell whether all words of a phrase stand in the text in this order, others between them or not."""
    rest = iter(words)
    return bool(phrase) and all(word in rest for word in phrase)
