"""The names of symptoms, also said ones too, as phrases: taught where the phrase list alone reads something else.

Reading hundreds of names takes longer than reading what a driver said, so a name is looked at only when it stands in
the words at hand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace

from assistant.diagnosis.lexicon import Lexicon, Meaning, Pattern, index_patterns, know_words, pattern_of
from assistant.diagnosis.phrases import find_whole, read_pieces
from assistant.ground.grid import STAGES
from assistant.rules.models_symptom import Symptom

Understands = Callable[[str, Lexicon, Symptom], bool]
"""Whether a lexicon makes of a text what a symptom is: a complaint of its balance in its place."""


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
    understands: Understands
    read_alone: dict[str, bool] = field(default_factory=dict, compare=False)

    def reads_alone(self, name: str) -> bool:
        """Whether the phrase list alone makes of a name what its symptom is; else only its own words mean it."""
        if name not in self.read_alone:
            self.read_alone[name] = self.understands(name, self.plain, self.owners[name][0])
        return self.read_alone[name]

    def standing_in(self, text: str) -> list[str]:
        """List the names that stand in a text, in the pack's order."""
        found = {pattern.meaning.symptom for pattern in find_whole(text, self.wide, self.index)}
        return sorted(found, key=lambda name: self.owners[name][1])

    def lexicon_for(self, text: str) -> Lexicon:
        """Return the phrase list with those names taught that stand in a text and need it, in the pack's order."""
        needed = [name for name in self.standing_in(text) if not self.reads_alone(name)]
        taught = (pattern_of(name, Meaning(stands_for=self._meanings(self.owners[name][0]))) for name in needed)
        return replace(self.wide, taught=tuple(taught)) if needed else self.wide

    def _meanings(self, symptom: Symptom) -> tuple[Meaning, ...]:
        """Return what a taught name stands for: its two halves where it has two, else the symptom's own cells."""
        own = [piece.meaning for piece in read_pieces(symptom.symptom, self.plain) if piece.kind == "mark"]
        if {meaning.balance for meaning in own if meaning.balance} == {"loose", "tight"}:
            return tuple(own)
        phase = () if symptom.phase in {"all", "none"} else (symptom.phase,)
        stages = () if len(symptom.stages) == len(STAGES) else tuple(symptom.stages)
        return (Meaning(symptom.balance, phase, usual_stages=stages, trend=symptom.trend or ""),)


def collect_names(plain: Lexicon, symptoms: Iterable[Symptom], understands: Understands) -> Names:
    """Index the names of all symptoms that have a balance."""
    owners: dict[str, tuple[Symptom, int]] = {}
    for symptom in symptoms:
        if symptom.balance != "none":
            for name in (symptom.symptom, *symptom.also_said):
                owners.setdefault(name, (symptom, len(owners)))
    patterns: list[Pattern] = [pattern_of(name, Meaning(symptom=name)) for name in owners]
    return Names(plain, know_words(plain, owners), index_patterns(plain, patterns), owners, understands)
