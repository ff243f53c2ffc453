"""Which offer comes first: all of them compete in complaints cured, less harm, less minutes.

What an offer cures under each cause, times how likely the cause is; `assistant.diagnosis.plan` puts them in order, two
steps deep. A computed lever cures what it takes away of a plain balance, and little where something else is the matter.

And how much likelier one cause would have to be to put an offer before another.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import prod
from typing import TYPE_CHECKING

from assistant.advice.results import FROM_PACK, SAME_TEST, Certainty, Factor, Listing, Note, Remedy, Treats, Worth
from assistant.car.case import HOW_SOON
from assistant.diagnosis.calls import LEVER_CURES, usual_minutes, with_laps
from assistant.diagnosis.plan import HARMLESS, PLAIN, Option, put_in_order
from assistant.diagnosis.stopping import LEADS

if TYPE_CHECKING:
    from assistant.advice.prices import RunPrice
    from assistant.diagnosis.calls import Board, Call
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models import Weights
    from assistant.rules.models_symptom import Choice

HARMS = ("harm", "tire life", "pace")
"""Factors that are taken off what an offer cures, as shares of the complaint."""
DRIVES_AROUND = 0.2
"""Share of its worth a habit keeps under a plain balance: it drives around that and does not cure it (assumption)."""
BLIND = 0.4
"""Share of its worth that air, camber or stagger keeps where nobody has read or taped the tires (assumption)."""
LITTLE = 0.1
"""Share of the complaint below which a lever that helps is as good as none (assumption)."""
LOOKED = 0.1
"""Share of the complaint that a look of the trade's list ends under a fault nobody says it finds (assumption)."""
SEEN_FIRST = 3
"""How many offers are seen first."""
SPARE = 5
"""Offers put in order beyond those that are shown: some are of one family."""
MOST_AGAIN = 3.0
"""So many times what the best lever takes away is at most taken to go by moving it again and others after it (own
judgment)."""
LISTED = 0.5
"""Share of a complaint without a balance that the trade's first choice takes away (assumption); later ones less."""
ANOTHER = 0.15
"""Price of each further change made at once: nobody can say which one did it (assumption)."""
TREATED = 0.05
"""From this chance on it is said that an offer is for a cause."""
LEFT = 0.1
"""From this chance of a cause on the car is left alone for it."""


@dataclass(frozen=True)
class Desk:
    """What offers are put in order with. meant: place of the cause that levers are sized for. at_hand: the time.

    places: of what the trade lists for a complaint without a balance, where nothing is computed; 0 is its first choice.
    on_top: the list of a later pack's own complaint, in its order. added: what a later pack added to it, and which.
    last: what a later pack moved to the end of the complaint's list.
    unread: levers that a reading sets which nobody took. listed: share that the first of `places` takes away.
    """

    board: Board
    meant: int
    knowledge: Knowledge
    weights: Weights
    at_hand: str
    places: Mapping[tuple[str, str], int] = field(default_factory=dict)
    on_top: tuple[tuple[str, str], ...] = ()
    added: Mapping[tuple[str, str], str] = field(default_factory=dict)
    last: frozenset[tuple[str, str]] = frozenset()
    unread: frozenset[str] = frozenset()
    listed: float = LISTED

    def call_for(self, remedy: Remedy) -> Call | None:
        """Find what the causes say of an offer."""
        name = f"{remedy.id} {'+' if (remedy.steps or 0) > 0 else '-'}" if remedy.kind == "lever" else remedy.id
        return self.board.call_of.get((remedy.kind, name))


def weigh_relief(relief: float, harm: float) -> tuple[Factor, ...]:
    """Weigh the shares of the complaint: what goes, what is spoiled elsewhere or by going past the mark."""
    return Factor("relief", relief), Factor("harm", harm)


def weigh_run(price: RunPrice | None) -> tuple[Factor, ...]:
    """Weigh what it costs over the run, as shares of the complaint; nothing when that was not computed."""
    if price is None:
        return ()
    short = "" if price.short is None else price.short.what
    return Factor("tire life", price.tires, short), Factor("pace", price.pace)


def weigh_confidence(share: float, basis: str, weights: Weights) -> Factor:
    """Weigh how sure the direction is. share: chance that the sign holds, 0 to 1."""
    return Factor("confidence", share**weights.confidence_power, Certainty(basis, share))


def weigh_trade(listing: Listing, weights: Weights) -> Factor:
    """Weigh how sure the trade is of it for this complaint: its first choice is the likeliest to be right."""
    if listing.place is None:
        return Factor("trade", weights.not_in_trade_list, listing)
    value = (
        max(weights.trade_least, 1 - weights.trade_fade * listing.place) * weights.confidence_words[listing.confidence]
    )
    return Factor("trade", value * weights.against_trade if listing.against else value, listing)


def share_of(factors: Iterable[Factor]) -> float:
    """Return the share of a complaint that is expected to go where the offer is for the right thing."""
    named = {factor.name: factor.value for factor in factors}
    return prod(value for name, value in named.items() if name not in HARMS) if "relief" in named else 0.0


def harm_of(factors: Iterable[Factor]) -> float:
    """Return the share of a complaint that an offer spoils, its price over the run included."""
    return sum(factor.value for factor in factors if factor.name in HARMS)


def gain_of(remedy: Remedy) -> float:
    """Take what a remedy spoils from what it takes away; for choosing only, never shown."""
    return (remedy.removes or 0.0) - (remedy.spoils or 0.0)


def rank(offers: Sequence[Remedy], desk: Desk) -> tuple[Remedy, ...]:
    """Put offers in order and number them from 1, each with what its place rests on."""
    placed = (replace(offer, worth=_worth(option_of(offer, desk), offer, desk)) for offer in order(offers, desk))
    return tuple(replace(offer, rank=number) for number, offer in enumerate(placed, 1))


def order(offers: Sequence[Remedy], desk: Desk) -> list[Remedy]:
    """Put offers in order; of a family of levers the best is kept and names the others."""
    rated = _rate(offers, desk)
    rated = [(option, offer) for option, offer in rated if not _is_own(option) or _is_likely(option, desk)]
    offer_of = {id(option): offer for option, offer in rated}
    most = desk.weights.most_remedies + SPARE
    board, options = desk.board, [option for option, _ in rated]
    ordered = put_in_order(board.chances, options, board.plain, most)
    placed = _one_move_at_a_time(_left_alone([offer_of[id(option)] for option in ordered]))
    return _as_the_team_says(_one_of_each_family(placed, desk.weights.families), desk)


def _left_alone(placed: list[Remedy]) -> list[Remedy]:
    """Put levers behind all else where to leave the car alone comes before any: the two do not go together."""
    is_left = next((one.kind == "leave" for one in placed if one.kind in PLAIN | {"leave"}), False)
    return sorted(placed, key=lambda one: one.kind in PLAIN) if is_left else placed


def _one_move_at_a_time(placed: Sequence[Remedy]) -> list[Remedy]:
    """Put a package behind the first single lever: who makes one move knows what it did."""
    package = next((one for one in placed if one.kind == "package"), None)
    single = next((one for one in placed if one.kind == "lever"), None)
    if package is None or single is None or placed.index(package) > placed.index(single):
        return list(placed)
    rest = [one for one in placed if one is not package]
    at = rest.index(single) + 1
    return [*rest[:at], package, *rest[at:]]


MEASURED = dict.fromkeys(("no sheet", "unknown change"), ("stands", "scales_level"))
"""Cautions of the test that would tell, by the reason why nobody can, where the car is scaled for it."""


def with_no_telling(ranked: Sequence[Remedy], reason: str, knowledge: Knowledge) -> tuple[Remedy, ...]:
    """Put first that it cannot be told what to do, where there is a reason to say so; what only looks comes next.

    Its words belong to the pages.
    """
    cautions = knowledge.cautions_for(MEASURED.get(reason, ()))
    first = [Remedy("cannot-tell", reason, "", cautions=cautions)] if reason else []
    other = [one for one in ranked if (reason, one.id) != SAME_TEST]
    rest = sorted(other, key=lambda one: one.kind not in HARMLESS) if reason else ranked
    return tuple(replace(offer, rank=number) for number, offer in enumerate((*first, *rest), 1))


def with_danger(
    ranked: Sequence[Remedy], told: Choice | None, desk: Desk, *, blind: bool, named: bool = False
) -> tuple[Remedy, ...]:
    """Put first a second look at a danger that was told and not found: what was felt is there all the same.

    Not where a cause leads, unless the danger is all that is complained of. blind: so it is, and nothing is adjusted.
    named: it is a symptom of the packs, whose causes have looks of their own: the first of those.
    """
    leads = max((one for at, one in enumerate(desk.board.chances[:-1]) if at != desk.board.plain), default=0.0) >= LEADS
    if told is None or not told.look or (leads and not (blind or named)):
        return tuple(ranked)
    cautions = desk.knowledge.cautions_for(told.cautions)
    own = next((one for one in ranked if one.kind == "inspect" and named), None)
    look = own or Remedy(
        "inspect", f"told-{told.id}", told.look, reason=told.means or "", worth=Worth(looks=True), cautions=cautions
    )
    left = HARMLESS if blind else {one.kind for one in ranked} - {"cannot-tell"}
    rest = [one for one in ranked if one.kind in left and one is not own]
    return tuple(replace(offer, rank=number) for number, offer in enumerate((look, *rest), 1))


def _rate(offers: Sequence[Remedy], desk: Desk) -> list[tuple[Option, Remedy]]:
    """Value every offer; the best lever counts as what a plain balance is taken to give way to, the others beside it.

    A lever is moved again, and another after it, until the balance is right; one step alone says too little of that.
    """
    best = max((_counted(one, desk) for one in offers if one.kind == "lever"), default=0.0)
    scale = min(MOST_AGAIN, LEVER_CURES / best) if 0 < best < LEVER_CURES else 1.0
    return [(option_of(offer, desk, scale), offer) for offer in offers]


def _is_own(option: Option) -> bool:
    """Whether an offer is for certain causes only, and for no balance."""
    return bool(option.of) and option.kind in {"inspect", "leave"}


def _is_likely(option: Option, desk: Desk) -> bool:
    """Whether one of the causes an offer is for is likely enough to leave the car alone for it, or to look for it."""
    least = LEFT if option.kind == "leave" else TREATED
    return any(desk.board.chances[cause] >= least for cause in option.of)


def option_of(offer: Remedy, desk: Desk, scale: float = 1.0) -> Option:
    """Value one offer under every cause. scale: of what levers take away."""
    if offer.kind == "package":
        return _option_of_package(offer, desk, scale)
    call = desk.call_for(offer)
    cures = _cures(offer, desk, scale)
    cost = desk.board.minute * with_laps(offer.kind, minutes_of(offer, desk))
    of = frozenset({desk.meant}) - {desk.board.plain} if offer.kind == "lever" else frozenset[int]()
    way = offer.direction or "" if offer.kind == "lever" else ""
    if call is None:
        return Option(offer.kind, offer.id, cures, cost, of=of, way=way)
    cures = tuple(max(own, other) if own else other for own, other in zip(call.option.cures, cures, strict=True))
    return replace(call.option, id=offer.id, cures=cures, cost=cost, of=of | call.option.of, way=way)


def _option_of_package(package: Remedy, desk: Desk, scale: float) -> Option:
    """Value levers that are moved together: their minutes add up, and nobody can say afterward which one did it."""
    minutes = sum(_lever_minutes(move.lever, desk) for move in package.moves)
    cost = desk.board.minute * with_laps("lever", minutes) + ANOTHER * (len(package.moves) - 1)
    net = max(0.0, gain_of(package))
    cures = desk.board.lever_cures(min(LEVER_CURES, net * scale * desk.weights.not_in_trade_list), desk.meant)
    return Option("package", "", cures, cost, of=frozenset({desk.meant}) - {desk.board.plain})


def _cures(remedy: Remedy, desk: Desk, scale: float) -> tuple[float, ...]:
    """Say what an offer cures under each cause, apart from what the causes' own files say of it."""
    board = desk.board
    place = desk.places.get((remedy.kind, remedy.id))
    if place is not None:
        return board.lever_cures(desk.listed * (1 - desk.weights.trade_fade * place), desk.meant)
    if remedy.kind == "lever":
        return board.lever_cures(min(1.0, _counted(remedy, desk) * scale), desk.meant)
    if remedy.kind == "driving":
        return board.lever_cures(net_of(remedy) * DRIVES_AROUND, desk.meant)
    if remedy.kind == "inspect" and desk.call_for(remedy) is None:
        return tuple(0.0 if cause in board.by_balance else LOOKED for cause in range(len(board.chances)))
    return (0.0,) * len(board.chances)


def _counted(remedy: Remedy, desk: Desk) -> float:
    """Return what a lever does on balance, less where time is short or the tires it rests on were not read."""
    late = 1.0 if is_in_time(remedy.when, desk.at_hand) else desk.weights.not_in_time
    return net_of(remedy) * late * (BLIND if remedy.id in desk.unread else 1.0)


def net_of(remedy: Remedy) -> float:
    """Return what goes less what is spoiled, where the offer is for the right thing; else it is taken out again."""
    return max(0.0, share_of(remedy.factors) - harm_of(remedy.factors))


def is_in_time(when: str, at_hand: str) -> bool:
    """Whether the time at hand is enough for a change."""
    return not when or HOW_SOON.index(when) <= HOW_SOON.index(at_hand)


def minutes_of(remedy: Remedy, desk: Desk) -> float:
    """Say how long an offer takes: as its cause says, as its lever's file says, else as such things take."""
    call = desk.call_for(remedy)
    said = [entry.minutes for _, entry in call.entries if entry.minutes is not None] if call else []
    if said:
        return said[0]
    return _lever_minutes(remedy.id, desk, remedy.when) if remedy.kind == "lever" else usual_minutes(remedy.kind)


def _lever_minutes(lever: str, desk: Desk, when: str = "") -> float:
    """Say how long a lever takes. when: where the rules allow it later than its file says."""
    entry = desk.knowledge.levers[lever]
    return usual_minutes("lever", when or entry.when) if entry.minutes is None else entry.minutes


def _cured(option: Option, offer: Remedy, desk: Desk) -> tuple[float, ...]:
    """Say how likely an offer cures under each cause: a computed change by the believed cars, else the share it takes.

    What the causes' own files say of it stays.
    """
    if offer.cures is None or offer.kind not in {"lever", "package"}:
        return option.cures
    call, moved = desk.call_for(offer), desk.board.lever_cures(offer.cures, desk.meant)
    return moved if call is None else tuple(map(max, moved, call.option.cures))


def _worth(option: Option, offer: Remedy, desk: Desk) -> Worth:
    """Say what the place of an offer rests on, the causes it cures most of first."""
    board = desk.board
    rows = [
        Treats(title, chance, cured, is_balance=at == desk.meant)
        for at, (title, chance, cured) in enumerate(zip(board.titles, board.chances, option.cures, strict=True))
    ]
    by_levers = {desk.meant} if option.kind in {"lever", "driving", "package"} else set[int]()
    known = (option.of | by_levers) - {len(board.chances) - 1}  # nothing is meant for "none of these"
    meant = sorted(known, key=lambda at: -board.chances[at] * max(rows[at].cures, 0.01))
    treats = tuple(rows[at] for at in meant if board.chances[at] >= TREATED)[:2] or tuple(rows[at] for at in meant[:1])
    looks, cured = option.kind == "inspect", zip(board.chances, _cured(option, offer, desk), strict=True)
    sure = 0.0 if looks else sum(chance * min(max(one, 0.0), 1.0) for chance, one in cured)
    lines = tuple(
        sorted((one for one in rows if one.chance * abs(one.cures) > 0), key=lambda one: -one.chance * one.cures)
    )
    return Worth(treats, sure, lines, option.cost, looks=looks)


def _one_of_each_family(ordered: Sequence[Remedy], families: Sequence[Sequence[str]]) -> list[Remedy]:
    """Keep the first of each family, and of each lever, and note the others with it."""
    kept: dict[tuple[str, str], Remedy] = {}
    others: dict[tuple[str, str], list[str]] = {}
    for offer in ordered:
        key = (offer.kind, family_of(offer.id, families) if offer.kind == "lever" else offer.id)
        if key in kept:
            others.setdefault(key, []).append(offer.title)
        else:
            kept[key] = offer
    return [
        with_note(offer, "relatives", tuple(others[key])) if key in others else offer for key, offer in kept.items()
    ]


def _as_the_team_says(ordered: list[Remedy], desk: Desk) -> list[Remedy]:
    """Let a later pack win where it speaks: its own list on top, what it added third at the latest, its last last."""
    ordered = sorted(ordered, key=lambda offer: _key(offer) in desk.last)
    keys = {_key(offer): offer for offer in ordered}
    top = [keys[key] for key in desk.on_top if key in keys]
    rest = [offer for offer in ordered if offer not in top]
    early = rest[: SEEN_FIRST - 1]
    late = rest[SEEN_FIRST - 1 :]
    own = [offer for offer in late if _key(offer) in desk.added]
    said = [*top, *early, *own, *(offer for offer in late if offer not in own)]
    return [with_note(one, FROM_PACK, (pack,)) if (pack := _pack_of(one, desk)) else one for one in said]


def _pack_of(offer: Remedy, desk: Desk) -> str:
    """Name the later pack an offer comes from, by its complaint or by its cause; "" for none."""
    call, causes = desk.call_for(offer), desk.board.weighing.causes
    ids = [] if call is None else [(causes[at].cause, entry.name) for at in call.option.of for _, entry in call.entries]
    origins = [desk.knowledge.origin("cause", *names) for names in ids]
    base = desk.knowledge.packs[0].pack if desk.knowledge.packs else ""
    return desk.added.get(_key(offer)) or next((one.pack for one in origins if one and one.pack != base), "")


def _key(offer: Remedy) -> tuple[str, str]:
    return offer.kind, offer.id


def with_note(remedy: Remedy, kind: str, names: tuple[str, ...] = ()) -> Remedy:
    """Put one more note to a remedy."""
    return replace(remedy, notes=(*remedy.notes, Note(kind, names)))


def family_of(lever: str, families: Sequence[Sequence[str]]) -> str:
    """Name the family of a lever, its own id when it has none."""
    return next((family[0] for family in families if lever in family), lever)


SURE = 0.99
"""Chance beyond which no cause is asked to be likelier."""


@dataclass(frozen=True)
class Flip:
    """The cause whose chance would turn two offers round; to is the chance it would need."""

    title: str
    chance: float
    to: float


def find_flip(first: Worth, second: Worth) -> Flip | None:
    """Find the cause that would need the smallest change of its chance for `second` to gain more.

    None when none can, when it gains more already, and for a look, which is not placed by what it gains. The chances of
    all others shrink or grow together.
    """
    if first.looks or second.looks or second.gain > first.gain:
        return None
    now, flips = first.gain - second.gain, list[Flip]()
    for title, chance in {line.title: line.chance for line in (*first.lines, *second.lines)}.items():
        sure = first.gain_if(title) - second.gain_if(title)
        to = chance + (1.0 - chance) * now / (now - sure) if now != sure else -1.0  # a gain runs straight in a chance
        flips += [Flip(title, chance, to)] if 0.0 <= to <= SURE and chance < 1.0 else []
    return min(flips, key=lambda flip: abs(flip.to - flip.chance), default=None)
