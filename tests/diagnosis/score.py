"""What share of the cases came out right, wrong or dangerous, each with its 95 % interval."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import sqrt
from statistics import fmean

from tests.diagnosis.crew import Crew
from tests.diagnosis.program import Played, play
from tests.diagnosis.vignettes import STOP, UNKNOWN, Move, Vignette

FIXED_RULES = {"fixed cross": ("cross weight", "up", "down"), "fixed track bar": ("track bar", "down", "up")}
"""Rules to beat, with the program's stops: the lever, its way for a loose car, its way for a tight one."""
STEPS = (0.0, 0.3, 0.5, 0.7, 1.01)
"""Where the claims of how sure a move cures are parted."""
SURE = 1.96
"""Standard deviations of a 95 % interval."""


@dataclass(frozen=True)
class Share:
    """So many of so many."""

    hits: int
    of: int

    def interval(self) -> tuple[float, float]:
        """Give Wilson's 95 % interval (1927)."""
        share, spread = self.hits / self.of, SURE**2 / self.of
        middle = (share + spread / 2) / (1 + spread)
        half = SURE / (1 + spread) * sqrt(share * (1 - share) / self.of + spread / self.of / 4)
        return max(0.0, middle - half), min(1.0, middle + half)

    def __str__(self) -> str:
        if not self.of:
            return "none"
        low, high = self.interval()
        return f"{self.hits}/{self.of} ({100 * low:.0f}-{100 * high:.0f} %)"


def play_all(vignettes: Sequence[Vignette]) -> dict[str, list[Played]]:
    """Play every case in every way: as told, words only, by fixed rules, with a crew that errs, by lists, in words."""
    told = [play(one, Crew(one, reads=True)) for one in vignettes]
    ways = {"as told": told, "words only": [play(one) for one in vignettes]}
    ways |= {rule: [follow(rule, played) for played in told] for rule in FIXED_RULES}
    ways |= {"crew that errs": [play(one, Crew(one, errs=True, reads=True)) for one in vignettes]}
    ways |= {"by word lists": [play(one, Crew(one)) for one in vignettes]}
    return ways | {"in words": [play(one, Crew(one, reads=True, talks=True)) for one in vignettes]}


def follow(rule: str, told: Played) -> Played:
    """Do what a fixed rule does, at the program's stops and by the balance it heard."""
    lever, loose, tight = FIXED_RULES[rule]
    move = Move("adjust", (lever,), loose if told.balance == "loose" else tight)
    offers = ((STOP,),) if stops(told) else ((move,),) if told.balance else ()
    return replace(told, offers=offers, sure=None)


def verdicts(played: Played) -> list[str]:
    """Judge each offer shown, in order."""
    return [played.vignette.judge(offer) for offer in played.offers]


def stops(played: Played) -> bool:
    """Tell whether a stop is advised."""
    return any(STOP in offer for offer in played.offers)


def tally(ways: Sequence[Played]) -> dict[str, str]:
    """Count one way of playing: what is counted, and its share."""
    judged = [verdicts(one) for one in ways]
    counted = {
        "first move accepted": [found[:1] == ["right"] for found in judged],
        "accepted in three": ["right" in found for found in judged],
        "first move wrong": [found[:1] == ["wrong"] for found in judged],
        "wrong in three": ["wrong" in found for found in judged],
        "dangerous in three": ["dangerous" in found for found in judged],
        "stops found": [stops(one) for one in ways if one.vignette.kind == "stop"],
        "false stops": [stops(one) for one in ways if one.vignette.kind != "stop" and not one.vignette.stop_allowed],
        "unknown admitted": [_says_unknown(one) for one in ways if one.vignette.kind in UNKNOWN],
        "false unknown": [_says_unknown(one) for one in ways if not _may_be_unknown(one.vignette)],
        "twins both right": _twins(ways),
    }
    shares = {name: Share(sum(hits), len(hits)) for name, hits in counted.items()}
    shares |= _kept_of_claims(ways)
    shares['answers "not sure"'] = Share(sum(one.unsure for one in ways), sum(one.asked for one in ways))
    rows = {name: str(share) for name, share in shares.items()}
    return rows | {"questions in the mean": f"{fmean(one.asked for one in ways):.1f}"}


def _kept_of_claims(ways: Sequence[Played]) -> dict[str, Share]:
    """Count how often a first move that changes something was accepted, by how sure it was said to cure."""
    claims = [(one.sure, verdicts(one)[:1] == ["right"]) for one in ways if one.sure is not None]
    kept = {}
    for low, high in pairwise(STEPS):
        parts = [right for sure, right in claims if low <= sure < high]
        kept[f"right at {low:.0%} to {min(high, 1.0):.0%}"] = Share(sum(parts), len(parts))
    return kept


def _says_unknown(played: Played) -> bool:
    return any(move.kind in UNKNOWN for offer in played.offers[:1] for move in offer)


def _may_be_unknown(vignette: Vignette) -> bool:
    return any(move.kind in UNKNOWN for move in vignette.accept)


def _twins(ways: Sequence[Played]) -> list[bool]:
    """Tell of each pair of twins whether both first moves were right."""
    right = {one.vignette.id: verdicts(one)[:1] == ["right"] for one in ways}
    pairs = {tuple(sorted((one.vignette.id, one.vignette.twin))) for one in ways if one.vignette.twin}
    return [right[one] and right[other] for one, other in pairs]
