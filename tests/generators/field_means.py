"""What the fields of rule files mean, where the model itself does not say: the last column of docs/rule-fields.md.

Weights are explained beside their numbers in the base pack, and keys of phrases at the head of its file: read there.
"""

import re

from assistant.rules.pack import base_folder

TABLE = """
pack: the name of the pack, that of its folder
title: what it is called on the screens
edition: year and number, such as 2026.1; other packs name it in written_for
about: what the pack is for, in a sentence
sources, cautions, glossary, questions, tire_reading: the entries, each under its own name
practice, not_used: the entries, one below the other
ranking: the name of the pack these weights are of
lever: what is moved, by its name
also_said: other names for it, as people say them
unit: what its numbers are in; "" for a plain count
plus_word, minus_word: the word for more of it, and for less, as `move` uses them
plus_verb, minus_verb: what one does for more of it, and for less: raise, lower
by_the_book: your own estimate of what it does, where nothing computes it
usual_change: what is usually changed in one go
when: how soon it can be done, where the rulebook says nothing later
recheck: what must be looked at again afterward
trade: what the trade says of more of it, by part of the corner
disputed: where the sources disagree
physics: why it does what it does
side_effects: what it does besides
cautions: keys of what can hurt; shown with the advice
symptom: the complaint, by its name
balance: whether the car is loose or tight, or what becomes of that
phase: the part of the corner
stages: the part of the run
trend: what it grows into over the run
feels_like: how the driver feels it
not_to_mix_up_with: what feels alike, and how to tell it apart
cases_for: the complaint or cause the examples are of
cases: the examples
changes_to: the complaint or cause of an earlier pack that is changed
why: the reason
drop: answers taken out
move: answers that get another place
reword: answers that are said otherwise
add: new answers
driving: the habit, by its name
says: the words, as they are shown or heard
helps: what it is an answer to
computed: what it changes in how the car is driven, where that can be computed
because: the reason, in your own words
watch_for: what it may spoil
undo_if: what tells that it was wrong
confidence: how sure the sources are
cause: the cause, by its name
prior: how usual it is before anything is known
corner: the corner of the car it is at
explains: complaints it can make
signs_for, signs_against: what speaks for it, and what against it
remedies: what to look at, to mend and to do, best first
phrases: words, each with what it means
dangers: what must stop the car
parts: parts of the car, as people say them
changed: parts that were changed, and which answers that is
changes: ways to say that a part was changed
skipped: words that say nothing
ordinary: words that are no part of a complaint in an ordinary sentence
listed: words behind which a list follows
laps: how many laps words such as early stand for
short: short forms, written out
signs: signs of danger, by name
replies: words that answer a question
who: the author
year: the year
where: where it is found
read: how much of it was read
means: what it means, in a sentence
see: other words to look up
backed_by: who says so: keys of sources, common practice or memory
rule: the rule
row: the claim
per_usual_change: by part of the corner, for one usual change
topic: what it is about
side_a, side_b: what each side says
decides: what decides between them
tell_apart: how to tell them apart
case: what must happen, in a sentence
on: the car it is tried on
driver_says: the driver's words
answers: questions, with the answer to each
expect: what must come of it
found: a complaint that must be among the first three heard
not_found: a complaint that must not be heard
first: the answer that must be number 1
in_top_three: answers that must be among the first three
never: answers that must not be offered
moves: levers, and which way each must be computed to move the car
remedy: the answer, by its name
only_if: a condition for it
how: the steps, one a line
after, before: the answer it stands behind, or before
entry_brake, middle_drive, exit_drive: how much less braking or drive in that part, such as '-10 %'
until: share of the run for which it is kept up
text: what is said of it in the sum
asks: the question as it is put
choices: the answers it can have
how_to_tell: how somebody finds out
id: the short name, as signs and examples use it
behind: words behind the part that must be there
alone: whether the part alone is enough
unless: words with which it is not meant
not_before: words before which it is not meant
sign: the danger, by its name
choice: the answer, by its short name
begins: whether the words must begin the line
tire: the tire it is of
low, high: from where to where it holds
Danger.before, SaidOfPart.before: words before the part that must be there
"""
_MEANS = {
    name: means
    for line in TABLE.strip().split("\n")
    for names, _, means in [line.partition(": ")]
    for name in names.split(", ")
}


def meaning_of(model: str, field: str) -> str:
    """Say what a field means. KeyError for one that nobody explained."""
    if model == "Weights" and field != "ranking":
        return _weights()[field]
    phrases = _phrases() if model == "Phrase" else {}
    phrases.pop("says", None)
    means = phrases.get(field) or _MEANS.get(f"{model}.{field}") or _MEANS[field]
    return (means[0].upper() + means[1:]).replace(" | ", " or ")


def _weights() -> dict[str, str]:
    """Read the remark beside each weight of the base pack, else the one above it."""
    found, above = {"interview": "prices and chances of asking, in complaints: see the base file"}, ""
    for line in (base_folder() / "ranking.yaml").read_text(encoding="utf-8").splitlines():
        if line.startswith("#"):
            above = line.lstrip("# ")
        elif (key := re.match(r"(\w+):[^#]*(?:# ?(.*))?", line)) is not None:
            found.setdefault(key[1], (key[2] or above).rstrip("."))
    return found


def _phrases() -> dict[str, str]:
    """Read what the head of the base pack's phrases says of its keys."""
    head = (base_folder() / "phrases.yaml").read_text(encoding="utf-8").partition("\nphrases:")[0]
    parts = [part for line in head.split("\n") for part in re.split(r" {2,}", line.lstrip("# "))]
    pairs = [re.match(r"([a-z_]+(?:, [a-z_]+)*): (.+)", part) for part in parts]
    return {name: pair[2] for pair in pairs if pair for name in pair[1].split(", ")}
