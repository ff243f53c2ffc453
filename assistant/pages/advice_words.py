"""What the advice holds as numbers and ids, in sentences: costs, factors of a rank, notes, what was passed over."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import floor

from assistant.advice.results import (
    COMPUTES_EVEN,
    COMPUTES_SMALL,
    FROM_PACK,
    HALF_BACK,
    NOT_BACK,
    TRADE_ALONE,
    WAY_BACK,
    Advice,
    Certainty,
    Cost,
    Each,
    Factor,
    Listing,
    Note,
    PassedOver,
    Remedy,
    Treats,
    Worth,
)
from assistant.ground.names import CORNER_WORDS, count_of, listed, say_number, when_words, where_words
from assistant.ground.units import System, show
from assistant.pages.amounts import capital, cure_words, portion_words, sentence, share_words

LEAST_SHARE = 0.005
"""Share of a complaint that would be written as 0 %."""
AGAINST = ("against, decided", "against, mostly")
"""Notes of a lever that the trade would move the other way."""
PASSED = {
    "useless": "In the trade's list, but on this car no step of it by itself mends more than it spoils",
    "unfelt": "In the trade's list, but too small to feel here",
    "run": "In the trade's list, but it costs more over the run here than it gives",
    "not here": "Not on this car, or not to be touched, as you said",
    "not tonight": "Left out for tonight, as you said",
}
"""Why something of the trade's list is no remedy, where several are named together."""

# costs


def say_cost(cost: Cost, system: System) -> str:
    """Say one thing an offer makes worse."""
    if cost.short:
        return f"the {CORNER_WORDS[cost.what]} would be done {count_laps(cost.amount)} before the end"
    match cost.kind:
        case "balance":
            return _say_balance(cost)
        case "tire life":
            left, had = floor(cost.after + 0.5), floor(cost.after + cost.amount + 0.5)
            return f"the {CORNER_WORDS[cost.what]} lasts {count_laps(left)} instead of {had}"
        case "pressure":
            way, size = "up" if cost.amount > 0 else "down", show(abs(cost.amount), "pressure", system=system)
            after = show(cost.after, "pressure", system=system)
            return f"{CORNER_WORDS[cost.what]} {size} {way} when hot, to {after}"
        case _:
            return f"{cost.amount:.2f} s a lap slower"


def _say_balance(cost: Cost) -> str:
    low, high = f"{abs(cost.least):.1f}", f"{abs(cost.amount):.1f}"
    size = high if low == high else f"up to {high}"
    way = "tighter" if cost.amount > 0 else "looser"
    much = f"{size} % {'tight' if cost.amount > 0 else 'loose'} instead" if cost.past else f"{way} by {size} %"
    unsaid = ", where nobody said how it is" if cost.unsaid else ""
    return f"{much} {where_words(cost.phases)}{_at_end(cost.end)}, {when_words(cost.stages)}{unsaid}"


def cost_place(cost: Cost) -> str:
    """Name where a cost falls: the cells of the balance, a corner, the fuel."""
    if cost.kind != "balance":
        return cost.what
    return ", ".join([listed(cost.phases), listed(cost.stages), *([f"end {cost.end}"] if cost.end else [])])


def count_laps(laps: float) -> str:
    """Say a count of laps, at least one: "1 lap", "6 laps"."""
    return count_of(max(1, round(laps)), "lap")


def _at_end(end: str | None) -> str:
    return "" if end is None else f" at {end}"


# several complaints


LITTLE = 0.07
"""Share of a complaint up to which it is said to be hardly changed."""


def complaint_words(one: Each) -> str:
    """Name one of several complaints: "loose coming off at turns 3-4"."""
    return f"{one.balance} {where_words(one.phases)}{_at_end(one.end)}"


def each_words(each: Sequence[Each]) -> str:
    """Say of each of several complaints what becomes of it, and whether one cure pulls against the other."""
    if not each:
        return ""
    said = "; ".join(f"{complaint_words(one)}: {_better(one.removes)}" for one in each)
    shares = [one.removes for one in each]
    if min(shares) > LITTLE:
        return f"helps {'both' if len(each) == 2 else 'all'}: {said}"
    against = min(shares) < -LITTLE and max(shares) > LITTLE
    return f"pulls against the other: {said}" if against else said


def _better(share: float) -> str:
    if abs(share) <= LITTLE:
        return "hardly changed"
    if share > 0:
        return f"{portion_words(share, 'all of it')} better"
    return f"{portion_words(-share, 'as much again')} worse"


# a remedy


def say_reason(remedy: Remedy) -> str:
    """Say why a remedy is one: the habit, the pack's reason, and that the trade would go the other way."""
    if remedy.id in WHY_BACK:
        return WHY_BACK[remedy.id]
    if remedy.kind == "cannot-tell":
        return f"It cannot be told from this what to change. {CANNOT_TELL[remedy.id][1]}"
    if any(note.kind in AGAINST for note in remedy.notes):
        return f"Computed for this car, against the trade's list. {remedy.reason}"
    return f"{remedy.says.rstrip('.')}. {remedy.reason}" if remedy.says else remedy.reason


WHY_BACK = {
    WAY_BACK: "What came with the change goes with it.",
    HALF_BACK: "What is new came with the change; half of it back leaves half of what it mended.",
}
"""Why what was made goes back, by the id of the offer."""


def say_notes(remedy: Remedy, *, whole: bool = True) -> str:
    """Say what is noted of a remedy, and by which rule it stands where it does. whole: its close relatives too."""
    return " ".join(say_note(note, remedy.worth) for note in remedy.notes if whole or note.kind != "relatives")


def say_note(note: Note, worth: Worth) -> str:
    """Say one thing that is noted of a remedy; worth: what it is for."""
    if note.kind in _IF_CAUSE:
        causes = " or ".join(one.title for one in worth.treats if not one.is_balance)
        return sentence(f"right only for: {causes}; {_IF_CAUSE[note.kind]}" if causes else _IF_CAUSE[note.kind])
    if note.kind == "how":
        return " ".join(note.names)
    if note.kind in AGAINST:
        symptom, trade, model = note.names
        says = f"For '{symptom}' the trade would {trade} it; computed for this car, to {model} it is what helps"
        return f"{says}, {_ON_CARS[note.kind]}."
    return _NOTES[note.kind].format(", ".join(note.names))


_ON_CARS = {
    AGAINST[0]: "on nine of ten plausible cars or more",
    AGAINST[1]: "on most plausible cars, not on all",
}
_IF_CAUSE = {
    COMPUTES_EVEN: "for the balance alone it costs elsewhere what it gives.",
    COMPUTES_SMALL: "for the balance alone it is computed to do next to nothing.",
}
_NOTES = {
    "not listed": "Not in the trade's list for this.",
    "usual size": "The size is the trade's usual change; what it takes away of this is not computed.",
    TRADE_ALONE: "Computed, this does little, or spoils as much elsewhere; the trade tries it, in small steps.",
    FROM_PACK: "From {}.",
    "relatives": "Close relatives, ranked lower: {}.",
}


# what is no change of a lever

CANNOT_TELL: Mapping[str, tuple[str, str]] = {
    "question": (
        "leave the car as it is",
        "You ask, and nothing is reported that could be cured. Watch other cars, and have one small change ready.",
    ),
    "no sheet": (
        "scale and measure all of it: cross, heights, stagger, air, toe, and the axle square",
        "Nobody knows what this car is set to, so nobody can say which way to move it. What you read is its sheet.",
    ),
    "too little": (
        "run ten laps on the same marks, then say where and when it does it",
        "Where, when or since when it does this is not known, so any change would be a guess. Read the tires at once.",
    ),
    "unknown change": (
        "measure the car against the last good sheet: tires, air, stagger, scales, toe",
        "It was right, and nobody knows what is different. Ask who worked on it; what is off the sheet goes back.",
    ),
    "many changes": (
        "go back to the last written sheet, then make one change at a time",
        "After three changes or more nobody can say which one did what.",
    ),
    "conflict": (
        "run ten laps on the same marks, with somebody watching the front wheels",
        "Loose and tight are both reported of one place, so any change would be a coin toss. Read the tires at once.",
    ),
    "few laps": (
        "change nothing, and run ten laps on warm tires first",
        "Two or three laps on cold tires say nothing of the balance. Set the air while you wait.",
    ),
    "once": (
        "change nothing, and see whether it comes again",
        "One lap is no pattern: a touch, something on the track, a tap of the brake. Look the car over first.",
    ),
    "nothing read": (
        "run eight laps and say of each third of the corner: loose, tight or fine",
        "From what was told so far nobody could tell what to do.",
    ),
}
"""Why nobody can tell, and the test that would."""
UNDO = {
    "tires": "put the tires and their air back as they were",
    "suspension": "put springs, shocks, heights and weight back as they were, and scale it",
    "links": "put the bar or the links back as they were, in steps",
    "front": "put the spoiler and the nose tape back as they were",
    "brakes": "put the brakes back as they were, a step at a time, and try them slowly first",
}
"""How a change is put back, by its kind, where no cause says it in its own words."""


def title_of(remedy: Remedy) -> str:
    """Say what an offer is, where that is no move of a lever."""
    if remedy.kind == "cannot-tell":
        return CANNOT_TELL[remedy.id][0]
    return remedy.title or UNDO.get(remedy.id.removeprefix("undo-"), remedy.title)


# its place


LEAST_LINE, MOST_LINES = 0.01, 5
"""Share of the complaint from which a cause is worth a line of its own, and how many such lines there are at most."""


def treats_words(worth: Worth, notes: Sequence[Note] = ()) -> str:
    """Say what an offer is for: "meant for: the right rear builds too much air (about 4 in 10)"; "" where unknown.

    notes: of the offer; one that is right only if a cause holds is not meant for the balance alone.
    """
    only_if = any(note.kind in _IF_CAUSE for note in notes)
    treats = [one for one in worth.treats if not (only_if and one.is_balance)]
    named = [f"{one.title} ({say_number(one.chance)})" for one in treats]
    return f"meant for: {' or '.join(named)}" if named else ""


def say_worth(worth: Worth) -> list[str]:
    """Say what the place of an offer rests on: what it does under each cause, and what it costs."""
    cost = [f"Its minutes and what it spoils count as {share_words(worth.cost)}."] if worth.cost >= LEAST_SHARE else []
    if worth.looks:
        return ["It changes nothing; what it finds says what to do next.", *cost]
    told = [one for one in worth.lines if one.chance * abs(one.cures) >= LEAST_LINE][:MOST_LINES]
    said = [f"{capital(one.title)} ({say_number(one.chance)}): {_under(one)}." for one in told]
    return [*said, *(["Under each other cause next to nothing."] if len(told) < len(worth.lines) else []), *cost]


def _under(one: Treats) -> str:
    return cure_words(one.cures) if one.cures > 0 else "makes it worse"


def say_factor(factor: Factor) -> str:
    """Say what a number behind an offer is made of."""
    about, value = factor.about, factor.value
    if isinstance(about, Certainty):
        return _say_certainty(about)
    if isinstance(about, Listing):
        return _say_listing(about)
    small, priced = value < LEAST_SHARE, f"priced at {100 * value:.0f} % of it"
    tires = "tires last as long" if small else f"shorter tire life, {priced}"
    liking = f"the trade {'likes' if value > 1 else 'does not like'} to reach for it"
    said = {
        "relief": cure_words(value),
        "harm": "spoils nothing" if small else f"spoils, elsewhere or past the mark, as much as {share_words(value)}",
        "tire life": f"the run does not reach its end, {priced}" if about else tires,
        "pace": "costs no lap time" if small else f"slower laps, {priced}",
        "preference": "no special liking" if value == 1 else liking,
    }
    return said[factor.name]


def _say_certainty(sure: Certainty) -> str:
    in_ten = f"{10 * sure.share:.0f}"
    if sure.trade:
        said = {
            "computed": f"computed, on {in_ten} of 10 plausible cars it goes this way",
            "by the book": "its effect is from the book",
            "unknown": "nobody gave its effect",
            "no direction": "this complaint has no direction to be sure of",
        }
        return f"the trade's confidence in this habit is {sure.trade}; {said[sure.basis]}"
    if sure.basis == "computed":
        return f"on {in_ten} of 10 plausible cars like this one it goes this way"
    return f"by the book, not computed for this car: counted as {in_ten} in 10"


def _say_listing(listing: Listing) -> str:
    if listing.place is None:
        return "not in the trade's list for this"
    sure = {"good": "", "fair": ", fairly sure of it", "guess": ", as a guess"}[listing.confidence]
    other = ", but moved the other way there" if listing.against else ""
    return f"number {listing.place + 1} in the trade's list for '{listing.symptom}'{sure}{other}"


# beside the list


def say_beside(advice: Advice) -> tuple[str, ...]:
    """Say what is treated instead of the words, and name every entry of the trade's list that is no remedy here."""
    treated = f"What is treated here is '{advice.treated}': cure that, and what it brings about goes with it."
    moved = {lever for offer in advice.offers if offer.kind == "undo" for lever in offer.changes}
    listed = say_passed(
        [one for one in advice.passed if one.why != NOT_BACK and not (one.why in PASSED and one.id in moved)]
    )
    return (treated, *listed) if advice.treated else listed


def say_not_back(advice: Advice) -> tuple[str, ...]:
    """Say why a change that was told is not put back."""
    return say_passed([one for one in advice.passed if one.why == NOT_BACK])


def say_passed(passed: Sequence[PassedOver]) -> tuple[str, ...]:
    """Name everything of the trade's list that is no remedy here, with the reason."""
    said = [_say_stop(one) for one in passed if one.why not in PASSED]
    for why, says in PASSED.items():
        titles = dict.fromkeys(one.title for one in passed if one.why == why)
        said += [f"{says}: {'; '.join(titles)}."] if titles else []
    return tuple(dict.fromkeys(said))


def _say_stop(one: PassedOver) -> str:
    """Say why a lever cannot go the way it is wanted."""
    title = capital(one.title)
    if one.taken_out:
        return f"{title}, {one.way}: {one.taken_out}" if one.way else f"{title}: {one.taken_out}"
    if one.why == NOT_BACK:
        return f"'{capital(one.way)}' is not put back: computed, that makes what you complain of worse."
    if one.why == "fixed":
        return f"{title} is fixed by the rules."
    if one.why == "largest_change":
        return f"The next step of the {one.title} is more than the largest sensible single change."
    return f"{title}, {one.way}: already as far as the rules allow."
