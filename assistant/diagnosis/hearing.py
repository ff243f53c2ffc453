"""The driver's words -> what was heard -> a complaint in cells.

A symptom's name, or how else it is said, is taught where the phrase list alone reads something else. Reading hundreds
of names takes longer than reading what a driver said, so a name is looked at only when it stands in the words at hand.

A cell is listed only if the words reach it: an unsaid phase or stage lists all three, an unsaid severity is 3 and
said so.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from assistant.diagnosis.asked import read_question
from assistant.diagnosis.changed import at_each_corner, kinds_named
from assistant.diagnosis.claim import Claim, Said, place_laps
from assistant.diagnosis.danger import find_dangers, speaks_of_part
from assistant.diagnosis.gauges_read import answers_of_numbers, without_zones
from assistant.diagnosis.lexicon import Lexicon, Pattern, Taught, build_lexicon, index_patterns, know_words, pattern_of
from assistant.diagnosis.phrases import WAS_RIGHT, find_whole, read_pieces
from assistant.diagnosis.sentences import read_claims
from assistant.diagnosis.stems import bare_word, distance, word_set
from assistant.diagnosis.tokens import MOST_WORDS, cut_words, with_plain_joints, words_behind
from assistant.ground.names import CORNERS, PHASES, STAGES, part_at_corners
from assistant.ground.quantities import SPELLINGS
from assistant.ground.understood import USUAL_SEVERITY, Cell, Complaint
from assistant.rules.knowledge import Knowledge
from assistant.rules.models_symptom import Meaning, Symptom


@dataclass(frozen=True)
class Names:
    """The names of one knowledge. plain: the phrase list alone. wide: the same, but it spells the names' words too.

    index: a lexicon of nothing but the names. owners: name -> its symptom and place in the pack.
    read_alone: what was found so far.
    """

    plain: Lexicon
    wide: Lexicon
    index: Lexicon
    owners: Mapping[str, tuple[Symptom, int]]
    read_alone: dict[str, bool] = field(default_factory=dict, compare=False)

    def reads_alone(self, name: str) -> bool:
        """Whether the phrase list alone makes of a name what its symptom is; else only its own words mean it."""
        if name not in self.read_alone:
            self.read_alone[name] = _is_read_as(name, self.plain, self.owners[name][0])
        return self.read_alone[name]

    def standing_in(self, text: str) -> list[str]:
        """List the names that stand in a text, in the pack's order."""
        found = {pattern.meaning.symptom or "" for pattern in find_whole(text, self.wide, self.index)}
        return sorted(found, key=lambda name: self.owners[name][1])

    def lexicon_for(self, text: str) -> Lexicon:
        """Return the phrase list with those names taught that stand in a text and need it, in the pack's order."""
        needed = [name for name in self.standing_in(text) if not self.reads_alone(name)]
        taught = (pattern_of(name, Taught(stands_for=self._meanings(self.owners[name][0]))) for name in needed)
        return replace(self.wide, taught=tuple(taught)) if needed else self.wide

    def _meanings(self, symptom: Symptom) -> tuple[Meaning, ...]:
        """Return what a taught name stands for: its two halves where it has two, else the symptom's own cells."""
        own = [piece.meaning for piece in read_pieces(symptom.symptom, self.plain) if piece.kind == "mark"]
        if {meaning.balance for meaning in own if meaning.balance} == {"loose", "tight"}:
            return tuple(own)
        phase = None if symptom.phase in {"all", "none"} else symptom.phase
        stages = None if len(symptom.stages) == len(STAGES) else symptom.stages
        found = {"balance": symptom.balance, "phase": phase, "usual_stages": stages, "trend": symptom.trend}
        return (Meaning.model_validate(found),)


def make_names(knowledge: Knowledge) -> Names:
    """Index the names of all symptoms that have a balance; ask for them with `knowledge.once`."""
    plain = build_lexicon(knowledge.phrases, tuple(knowledge.symptoms.values()))
    owners: dict[str, tuple[Symptom, int]] = {}
    for symptom in knowledge.symptoms.values():
        if symptom.balance != "none":
            for name in (symptom.symptom, *symptom.also_said):
                owners.setdefault(name, (symptom, len(owners)))
    patterns: list[Pattern] = [pattern_of(name, Meaning(symptom=name)) for name in owners]
    return Names(plain, know_words(plain, owners), index_patterns(plain, patterns), owners)


def lexicon_for(text: str, knowledge: Knowledge) -> Lexicon:
    """Return the phrases to read a text with."""
    return knowledge.once(make_names).lexicon_for(text)


def changes_answered(typed: str, knowledge: Knowledge) -> tuple[str, ...]:
    """Return the parts of a line that name what was changed, where that was asked."""
    lexicon = lexicon_for(typed, knowledge)
    parts = [part.strip() for part in re.split(r"[.;]\s", at_each_corner(typed.lower()))]
    named = tuple(part for part in parts if kinds_named(cut_words(part, lexicon), lexicon.changes))
    return named or tuple(part for part in parts if _FROM_TO.search(part))


def _is_read_as(text: str, lexicon: Lexicon, symptom: Symptom) -> bool:
    """Whether the words are read as this symptom; a sign of danger in them stays what it is, whoever named it so."""
    said = read_claims(read_pieces(text, lexicon), dict(lexicon.laps))
    return bool(said.safety) or any(hits(cell, symptom) for cell in complaint_of(Heard(text, said)).cells)


MOST_KEPT = 200
"""Readings that are kept: every word of a talk is read once, whoever asks."""


def read(text: str, knowledge: Knowledge, run_laps: float | None = None) -> Heard:
    """Read the words without placing them on a track. run_laps: laps of the run, held against the numbers said."""
    kept = knowledge.once(_keep_readings)
    if (text, run_laps) not in kept:
        if len(kept) >= MOST_KEPT:
            kept.clear()
        kept[text, run_laps] = _read(text, knowledge, run_laps)
    return kept[text, run_laps]


def _keep_readings(_: Knowledge) -> dict[tuple[str, float | None], Heard]:
    return {}


def _read(text: str, knowledge: Knowledge, run_laps: float | None) -> Heard:
    lexicon = lexicon_for(text, knowledge)
    laps = dict(lexicon.laps) if run_laps is None else place_laps(run_laps)
    plain = with_plain_joints(at_each_corner(without_zones(text)))
    asides = tuple(aside[0].strip() for aside in _BETTER_IF.finditer(plain))
    asked = read_question(_BETTER_IF.sub(" ", plain))
    said = replace(read_claims(read_pieces(asked.rest, lexicon), laps), question=asked.words)
    said = replace(said, unread=(*said.unread, *asides))
    if asked.words or asides:  # a sign of danger in a question is one all the same
        said = _with_dangers(said, read_claims(read_pieces(text, lexicon), laps), knowledge)
    if said.unread:  # a word of a name that stands there is understood, though no phrase has it
        named = {bare_word(word) for name in knowledge.once(make_names).standing_in(text) for word in name.split()}
        said = replace(said, unread=tuple(word for word in said.unread if bare_word(word) not in named))
    if (sealed := knowledge.once(make_sealed_lexicon)) is not None:
        said = _with_dangers(said, read_claims(read_pieces(text, sealed), laps), knowledge)
    said = _with_the_rest(_with_numbers(said, text), text, lexicon)
    nothing = not (said.claims or said.symptoms or said.safety)
    if nothing and text.rstrip().endswith("?"):
        said = replace(said, question=text.strip())
    return Heard(text, replace(said, part=nothing and speaks_of_part(cut_words(text, lexicon), lexicon.dangers)))


_BETTER_IF = re.compile(
    r"(?:\b(?:it'?s|she'?s|is|gets|but|much|way|a|bit|little|lot)\s+){0,4}\bbetter (?:when|if) (?:i|he|she|you)\b"
    r"(?!'|[^,.;]*\b(?:laps?|run|tires?|new|fresh|put|added|took|raised|lowered)\b)(?:(?!\b(?:but|and)\b)[^,.;])*",
    re.IGNORECASE,
)
"""What the driver does about it is a condition, and no lap from which it is better."""
_HANDLING = {one: one for one in ("loose", "tight", "pushes", "push", "plows", "snug")} | {"tite": "tight"}
_MAY_BE_HANDLING = word_set("lose loses los")


def handling_meant(text: str, knowledge: Knowledge) -> str:
    """Write a text with the word of handling that may have been meant: "lewse off" is "loose off"; "" where none is."""
    words = text.lower().split()
    mended = " ".join(_handling_near(word, knowledge.once(make_names).plain) or word for word in words)
    return mended if mended.split() != words and read(mended, knowledge).complaints else ""


def _handling_near(word: str, lexicon: Lexicon) -> str:
    """Name the word of handling that one nobody knows is two slips away from; of a short one a slip."""
    plain = bare_word(word)
    if (plain in lexicon.ordinary or plain in lexicon.words) and plain not in _MAY_BE_HANDLING:
        return ""
    near = {one: distance(plain, one, 2) for one in _HANDLING if one[0] == plain[:1]}
    best = min(near, key=near.__getitem__, default="")
    return _HANDLING[best] if best and near[best] <= (2 if len(best) > 4 else 1) else ""


def answers_of_change(names: Iterable[str], knowledge: Knowledge) -> dict[str, str]:
    """Say what questions of the past are answered where these parts were just moved, and it was right before."""
    lexicon = knowledge.once(make_names).plain
    kinds = [kind for name in names for kind in kinds_named(cut_words(name, lexicon), lexicon.changes)[-1:]]
    found = [dict(lexicon.changed[kind]) for kind in kinds]
    return {WAS_RIGHT: "yes"} | found[0] if found and all(one == found[0] for one in found) else {}


def _with_dangers(said: Said, other: Said, knowledge: Knowledge) -> Said:
    """Add the signs of danger of another reading of the same words."""
    dangers = [name for name in other.symptoms if name in knowledge.symptoms and knowledge.symptoms[name].safety]
    symptoms = tuple(dict.fromkeys((*said.symptoms, *dangers)))
    return replace(said, symptoms=symptoms, safety=tuple(dict.fromkeys((*said.safety, *other.safety))))


def _with_numbers(said: Said, text: str) -> Said:
    """Add what the numbers of a gauge in the words answer; those are understood then."""
    told = answers_of_numbers(text, "")
    if not told:
        return said
    return replace(said, answers={**told, **said.answers}, unread=but_numbers(said.unread))


def but_numbers(unread: Iterable[str]) -> tuple[str, ...]:
    """Leave numbers of a gauge, and the tires they are of, out of the words that were not understood."""
    beside = {*CORNERS, "PRESSURE", "PRESSURES", *(word.upper() for word in SPELLINGS["pressure"])}
    return tuple(word for word in unread if not (word[:1].isdigit() or word.upper() in beside))


def _with_the_rest(said: Said, text: str, lexicon: Lexicon) -> Said:
    """Add the signs of danger from the words of a long text that are not read as a complaint."""
    behind = words_behind(text)
    if not behind:
        return said
    signs = [one.sign for one in find_dangers(behind, lexicon.dangers, phrases=True)]
    return replace(said, safety=tuple(dict.fromkeys((*said.safety, *signs))), cut=MOST_WORDS)


def make_sealed_lexicon(knowledge: Knowledge) -> Lexicon | None:
    """Return the first pack's words alone, so that no later pack talks a sign of danger away; None without others."""
    return build_lexicon(knowledge.first_phrases) if knowledge.first_phrases else None


_FROM_TO = re.compile(r"\d\D+\d")
"""Two numbers, an old value and a new one, tell of a change though no part is named: "from a 200 to a 225 rr"."""
_MANY_WORDS = 4
"""From so many words on, of which some were not read, a line tells something of the car. Own judgment, no source."""
_OTHER = {"first": 0, "second": 1}
_Key = tuple[str, str, str | None]


@dataclass(frozen=True)
class Heard:
    """The words with all that was read in them. `said` keeps what cells cannot hold: safety signs, moments."""

    text: str
    said: Said

    @property
    def complaints(self) -> list[Claim]:
        """The claims that complain of something."""
        return [claim for claim in self.said.claims if claim.is_complaint]

    @property
    def phase_said(self) -> bool:
        """Whether every loose or tight claim says where in the corner."""
        return all(claim.phases for claim in self.complaints)

    @property
    def readable(self) -> bool:
        """Whether there is anything to work on: a balance, a symptom or a sign to stop for."""
        return bool(self.complaints or self.said.symptoms or self.said.safety)

    @property
    def is_of_part(self) -> bool:
        """Whether a word of balance is said of some part and of no place: "the bushing is tight"."""
        said = self.said
        placed = said.symptoms or said.safety or any(one.phases or one.stages or one.end for one in said.claims)
        return bool(said.claims and said.unread) and not placed

    @property
    def tells_something(self) -> bool:
        """Whether something is told or asked that is worth asking about, though there is nothing to work on yet."""
        said = self.said
        long = bool(said.unread) and not said.claims and len(self.text.split()) >= _MANY_WORDS
        return not self.readable and bool(said.part or said.question or said.left_open or long)


def hits(cell: Cell, symptom: Symptom) -> bool:
    """Whether a symptom has the balance of a cell and is felt there."""
    where = symptom.phase in {"all", "none"} or cell.phase == symptom.phase
    return bool(cell.balance == symptom.balance and where and cell.stage in symptom.stages)


def complaint_of(reading: Heard, ends: Sequence[str] = ()) -> Complaint:
    """Turn a reading into cells; where two claims meet, the one that says more exactly where wins."""
    said = reading.said
    cells, clashing = _cells_of(said.claims, ends)
    unread = [*said.unread, *clashing]
    if len(ends) < 2:
        unread += said.end_words
    unread += [claim.text for claim in said.claims if claim.denied and claim.balance == "fine" and not claim.past]
    return Complaint(
        reading.text,
        cells,
        said.symptoms,
        tuple(dict.fromkeys(unread)),
        said.moments,
        said.cut,
        clashing=tuple(dict.fromkeys(clashing)),
        changes=said.changes,
        question=said.question,
        answers=tuple(said.answers.items()),
        told_first=next((claim.balance for claim in reading.complaints), ""),
        corners=tuple({corner: "" for one in reading.complaints for corner, _ in part_at_corners(one.text)[1]}),
    )


_Found = dict[_Key, tuple[tuple[int, int], Claim]]


def _cells_of(claims: tuple[Claim, ...], ends: Sequence[str]) -> tuple[tuple[Cell, ...], list[str]]:
    """Return the cells, and the words of claims that say opposite things of one cell with equal right."""
    used = [made for claim in claims if (made := _affirm(claim)) is not None]
    found: _Found = {}
    clashing: dict[_Key, tuple[str, str]] = {}
    for claim in used:
        for key in _reach(claim, ends) if not claim.rest else ():
            old = found.get(key)
            found[key] = _stronger(old, claim)
            if old is not None and old[0] == _weight(claim) and old[1].balance != claim.balance:
                clashing[key] = (old[1].text, claim.text)
    found = {key: value for key, value in found.items() if key not in clashing}
    named = {key[:2] for key in (*found, *clashing)}
    for claim in used:
        if claim.rest:
            found.update({key: ((0, 0), claim) for key in _reach(claim, ends) if key[:2] not in named})
    return _as_cells(_split_ends(found, ends)), [text for pair in clashing.values() for text in pair]


def _weight(claim: Claim) -> tuple[int, int]:
    return _exactness(claim), int(claim.balance != "fine")


def _stronger(old: tuple[tuple[int, int], Claim] | None, claim: Claim) -> tuple[tuple[int, int], Claim]:
    """Keep the claim that says more exactly where; of two that agree, the worse."""
    weight = _weight(claim)
    if old is None or weight > old[0]:
        return weight, claim
    if weight == old[0] and old[1].balance == claim.balance:
        return weight, replace(claim, severity=_worse(claim.severity, old[1].severity))
    return old


def _affirm(claim: Claim) -> Claim | None:
    """Read a denied claim: "not tight in the middle" makes the middle fine; "not loose" alone tells of no cell."""
    if not claim.denied:
        return claim
    if claim.balance != "fine" and not claim.past and (claim.phases or claim.stages):
        return replace(claim, balance="fine", denied=False, severity=None)
    return None


def _reach(claim: Claim, ends: Sequence[str]) -> list[_Key]:
    phases = claim.phases or claim.usual_phases or PHASES
    stages = claim.stages or claim.usual_stages or STAGES
    end = end_id(claim.end, ends)
    return [(phase, stage, end) for phase in phases for stage in stages]


def end_id(end: str, ends: Sequence[str]) -> str | None:
    """Map "first" (turns one and two) or "second" onto the ids of the track's ends; None is both, or not known."""
    if end not in _OTHER or len(ends) < 2:
        return None
    digits = ("1", "2") if end == "first" else ("3", "4")
    words = ("one", "two") if end == "first" else ("three", "four")
    for name in ends:
        if any(mark in name for mark in digits) or any(
            word in name.lower().replace("_", " ").split() for word in words
        ):
            return name
    return ends[_OTHER[end]]


def _exactness(claim: Claim) -> int:
    return 3 * bool(claim.phases) + 2 * bool(claim.stages) + bool(claim.usual_stages) + bool(claim.usual_phases)


def _worse(one: float | None, other: float | None) -> float | None:
    return one if other is None else other if one is None else max(one, other)


def _split_ends(
    found: Mapping[_Key, tuple[tuple[int, int], Claim]], ends: Sequence[str]
) -> dict[_Key, tuple[tuple[int, int], Claim]]:
    """Keep "both ends" off the end for which something else was said."""
    split: dict[_Key, tuple[tuple[int, int], Claim]] = {}
    named = {key for key in found if key[2] is not None}
    for key, value in found.items():
        phase, stage, end = key
        taken = [name for name in ends if (phase, stage, name) in named]
        if end is None and taken:
            split.update({(phase, stage, name): value for name in ends if name not in taken})
        else:
            split[key] = value
    return split


def _as_cells(found: Mapping[_Key, tuple[tuple[int, int], Claim]]) -> tuple[Cell, ...]:
    def place(key: _Key) -> tuple[str, int, int]:
        return (key[2] or "", PHASES.index(key[0]), STAGES.index(key[1]))

    cells = []
    for key in sorted(found, key=place):
        claim = found[key][1]
        given = claim.severity is not None and claim.balance != "fine"
        usual = USUAL_SEVERITY + (STAGES.index(key[1]) - 1 if claim.grows and claim.stages == STAGES else 0)
        severity = 0.0 if claim.balance == "fine" else usual if claim.severity is None else claim.severity
        where = bool(claim.phases or claim.usual_phases or claim.rest)
        when = bool(claim.stages or claim.usual_stages)
        cells.append(Cell(key[0], key[1], claim.balance, severity, given, key[2], where, when))
    return tuple(cells)
