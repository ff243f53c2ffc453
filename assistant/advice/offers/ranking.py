"""How good a remedy is: every factor a number with a sentence, every weight from the pack's ranking file.

score = (relief - harm - tire life - pace) x confidence x practicality x trade x preference; `order` sorts by it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import prod
from typing import TYPE_CHECKING

from assistant.advice.amounts import cure_words, share_words
from assistant.advice.results import Factor, Remedy

if TYPE_CHECKING:
    from assistant.advice.offers.run_price import RunPrice
    from assistant.advice.offers.weights import Weights

HOW_SOON = ("pit stop", "between runs", "shop")
"""When a change can be made, quickest first."""
SHARES = ("relief", "harm", "tire life", "pace")
"""Factors that are shares of the complaint; all others are taken away from the first."""
TIMES = ("confidence", "practicality", "trade", "preference")
"""Factors the share is multiplied by."""
SPOILS = "spoils, elsewhere or past the mark, as much as"
LESS_IS_BETTER = frozenset({"harm", "tire life", "pace"})


@dataclass(frozen=True)
class Standing:
    """What the trade thinks of a remedy for this complaint.

    place: position in its list, 0 first, None when it is not in the list. against: the trade moves it the other way.
    confidence: how sure the trade is of the entry, good, fair or guess.
    """

    place: int | None
    symptom: str
    against: bool = False
    confidence: str = "good"


def weigh_relief(relief: float, harm: float) -> tuple[Factor, ...]:
    """State the shares of the complaint: what goes, what is spoiled elsewhere or by going past the mark."""
    return (
        Factor("relief", relief, cure_words(relief)),
        Factor("harm", harm, f"{SPOILS} {share_words(harm)}" if harm > 0.005 else "spoils nothing"),
    )


def weigh_run(price: RunPrice | None) -> tuple[Factor, ...]:
    """State what it costs over the run, as shares of the complaint; nothing when that was not computed."""
    if price is None:
        return ()
    tires = (
        f"shorter tire life, priced at {say_share(price.tires)} of it" if price.tires >= 0.005 else "tires last as long"
    )
    if price.short is not None:
        tires = f"the run does not reach its end, priced at {say_share(price.tires)} of it"
    pace = f"slower laps, priced at {say_share(price.pace)} of it" if price.pace >= 0.005 else "costs no lap time"
    return Factor("tire life", price.tires, tires), Factor("pace", price.pace, pace)


def weigh_confidence(share: float, basis: str, weights: Weights) -> Factor:
    """State how sure the direction is. share: chance that the sign holds, 0 to 1."""
    if basis == "computed":
        text = f"on {10 * share:.0f} of 10 plausible cars like this one it goes this way"
    else:
        text = f"by the book, not computed for this car: counted as {10 * share:.0f} in 10"
    return Factor("confidence", share**weights.confidence_power, text)


def weigh_practicality(when: str, at_hand: str, weights: Weights) -> Factor:
    """State whether it can be done in the time at hand."""
    value = weights.practicality[when]
    if HOW_SOON.index(when) > HOW_SOON.index(at_hand):
        return Factor(
            "practicality",
            value * weights.not_in_time,
            f"{_needs(when)}, and there is only time for a change {_during(at_hand)}",
        )
    return Factor("practicality", value, _needs(when))


def weigh_trade(standing: Standing, weights: Weights) -> Factor:
    """State what the trade thinks of it for this complaint."""
    if standing.place is None:
        return Factor("trade", weights.not_in_trade_list, "not in the trade's list for this")
    value = max(weights.trade_least, 1 - weights.trade_fade * standing.place)
    value *= weights.confidence_words[standing.confidence]
    sure = {"good": "", "fair": ", fairly sure of it", "guess": ", as a guess"}[standing.confidence]
    text = f"number {standing.place + 1} in the trade's list for '{standing.symptom}'{sure}"
    if standing.against:
        return Factor("trade", value * weights.against_trade, f"{text}, but moved the other way there")
    return Factor("trade", value, text)


def weigh_preference(preference: float) -> Factor:
    """State the trade's liking for this lever."""
    text = "no special liking"
    if preference != 1:
        text = "the trade likes to reach for it" if preference > 1 else "the trade does not like to reach for it"
    return Factor("preference", preference, text)


def with_score(factors: Sequence[Factor]) -> tuple[Factor, ...]:
    """Add the score as the last factor, with the sum written out."""
    value = score_of(factors)
    named = {factor.name: factor.value for factor in factors}
    shares = " - ".join(f"{named[name]:.2f}" for name in SHARES if name in named)
    times = "".join(f" x {named[name]:.2f}" for name in TIMES if name in named)
    return (*factors, Factor("score", value, f"({shares}){times} = {value:.3f}"))


def score_of(factors: Iterable[Factor]) -> float:
    """Multiply the factors out; a factor that is missing counts as one, a missing share as nothing."""
    named = {factor.name: factor.value for factor in factors}
    share = named.get("relief", 0.0) - sum(named.get(name, 0.0) for name in SHARES[1:])
    return share * prod(named.get(name, 1.0) for name in TIMES)


def factor_value(remedy: Remedy, name: str) -> float | None:
    """Read one factor of a remedy by name, None when it has none."""
    return next((factor.value for factor in remedy.factors if factor.name == name), None)


def gain_of(remedy: Remedy) -> float:
    """Take what a remedy spoils from what it takes away; for choosing only, never shown."""
    return (remedy.removes or 0.0) - (remedy.spoils or 0.0)


def slower_of(one: str, other: str) -> str:
    """Take the slower of two times of change."""
    return max(one, other, key=HOW_SOON.index)


def say_share(share: float) -> str:
    """Write a share of the complaint: "34 %"."""
    return f"{100 * share:.0f} %"


def _needs(when: str) -> str:
    return {
        "pit stop": "can be done in a pit stop",
        "between runs": "can be done between runs",
        "shop": "needs the shop",
    }[when]


def _during(at_hand: str) -> str:
    return {"pit stop": "in a pit stop", "between runs": "between runs", "shop": "in the shop"}[at_hand]
