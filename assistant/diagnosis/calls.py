"""The moves that the possible causes call for, each with what it cures under every cause.

A cause brings its own looks, repairs and habits; what was changed can be put back; levers are the remedies of a plain
balance and do little where something else is the matter.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import product
from math import exp, prod
from typing import TYPE_CHECKING

from assistant.diagnosis.causes import Weighing, model_answers
from assistant.diagnosis.evidence import WHAT_CHANGED
from assistant.diagnosis.plan import NAMED, Option
from assistant.diagnosis.questions import interview_weights
from assistant.ground.names import plain_id

if TYPE_CHECKING:
    from assistant.diagnosis.evidence import Fact
    from assistant.ground.understood import Complaint
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models_symptom import Cause, TradeRemedy

CURES = {"good": 0.8, "fair": 0.65, "guess": 0.5}
"""Share of the complaint a cause's own remedy takes away, by how sure the trade is of it (assumption)."""
LEVER_CURES = 0.6
"""The same of the best lever under a plain balance, before anything is computed (assumption)."""
ELSEWHERE = 0.1
"""Share of its worth that a lever keeps where something else is the matter: at 0.3 the diagnosis drowned."""
SAME_WAY = 0.5
"""The same where another symptom is to be treated, and it wants the car moved the same way (assumption)."""
WRONG_WAY = -0.3
"""What a lever does to a complaint whose cause wants the car moved the other way (assumption)."""
PUT_BACK = 0.5
"""Share of the complaint that goes when a change is put back, under a cause such changes often make (assumption)."""
IN_STEPS = ("tires", "suspension", "links", "brakes")
"""Kinds of change that can be put back; a refitted or mended part is looked at, the weather stays."""
MINUTES = {"pit stop": 1.0, "between runs": 15.0, "shop": 120.0}
"""How long a change takes where nobody said it, by when it can be made (assumption)."""
WITHOUT_WRENCH = {"driving": 1.0, "leave": 0.0}
"""The same of what is no change of the car."""
LAPS = 10.0
"""Minutes of the run that shows whether a move has cured; a look needs none (assumption)."""
MOST_ASKED = 2
"""So many questions of one look are thought through together."""


@dataclass(frozen=True)
class Call:
    """A move that causes call for. entries: the pack's words, with the title of the cause, the likeliest first."""

    option: Option
    entries: tuple[tuple[str, TradeRemedy], ...] = ()

    @property
    def name(self) -> str:
        """Its id, that of a lever without the way."""
        return self.option.id.partition(" ")[0]


@dataclass(frozen=True)
class Board:
    """The causes with their chances, and what they call for. plain: place of the one that is mere balance."""

    weighing: Weighing
    chances: tuple[float, ...]
    plain: int
    wrong_way: frozenset[int] = frozenset()
    calls: tuple[Call, ...] = field(default=(), compare=False)
    minute: float = 0.0

    @property
    def titles(self) -> tuple[str, ...]:
        """The causes in words."""
        return (*map(self.weighing.reckoned.title, self.weighing.causes), "none of these")

    @cached_property
    def call_of(self) -> dict[tuple[str, str], Call]:
        """Every move that is called for, by its kind and id."""
        return {(one.option.kind, one.option.id): one for one in self.calls}

    @cached_property
    def by_balance(self) -> frozenset[int]:
        """The causes that levers cure: plain balance, and those treated as another symptom."""
        treated = {at for at, cause in enumerate(self.weighing.causes) if cause.instead}
        return frozenset(treated | {self.plain})

    @property
    def torn(self) -> tuple[str, str, str] | None:
        """Two named causes that want the car moved opposite ways, and the test that tells them apart; None for none.

        The test is "" where its look was made already.
        """
        named = sorted((at for at in self.by_balance if self.chances[at] >= NAMED), key=lambda at: -self.chances[at])
        other = [at for at in named if at in self.wrong_way]
        same = [at for at in named if at not in self.wrong_way]
        if not other or not same:
            return None
        is_open = any(call.option.kind == "inspect" and other[0] in call.option.of for call in self.calls)
        return self.titles[same[0]], self.titles[other[0]], self.weighing.causes[other[0]].test if is_open else ""

    def lever_cures(self, share: float, meant: int | None = None) -> tuple[float, ...]:
        """Return what a lever cures under each cause that takes this share away under the one it is moved for.

        meant: place of that cause, plain balance when left out.
        """
        meant = self.plain if meant is None else meant
        return tuple(self._lever_cures(share, meant, cause) for cause in range(len(self.chances)))

    def _lever_cures(self, share: float, meant: int, cause: int) -> float:
        if cause == meant:
            return share
        if cause not in self.by_balance:
            return share * ELSEWHERE
        same_way = (cause in self.wrong_way) == (meant in self.wrong_way)
        return share * SAME_WAY if same_way else WRONG_WAY


def lay_board(
    weighing: Weighing, complaint: Complaint, facts: Mapping[str, Fact], knowledge: Knowledge, none: float
) -> Board:
    """Work out what the causes call for."""
    chances = tuple(weighing.chances(none))
    plain = next((at for at, cause in enumerate(weighing.causes) if cause.plain), len(chances) - 1)
    wrong_way = frozenset(
        at for at, cause in enumerate(weighing.causes) if _wants_other_way(cause, complaint, knowledge)
    )
    board = Board(weighing, chances, plain, wrong_way, minute=interview_weights(knowledge)["minute_price"])
    return replace(board, calls=tuple(_calls(board, facts, knowledge)))


def _wants_other_way(cause: Cause, complaint: Complaint, knowledge: Knowledge) -> bool:
    """Tell whether a cause is treated as a symptom of the other balance than the one complained of."""
    symptom = knowledge.symptoms.get(cause.instead or "")
    felt = {cell.balance for cell in complaint.cells} - {"fine"}
    return symptom is not None and len(felt) == 1 and symptom.balance != "none" and symptom.balance not in felt


def general_levers(board: Board) -> list[Option]:
    """Stand in for the levers before any is computed: one for a plain balance, one for each cause treated otherwise."""
    cost = (MINUTES["between runs"] + LAPS) * board.minute
    plain = Option("lever", "plain", board.lever_cures(LEVER_CURES), cost)
    others = [
        Option("lever", cause.instead, board.lever_cures(LEVER_CURES, at), cost, of=frozenset({at}))
        for at, cause in enumerate(board.weighing.causes)
        if cause.instead
    ]
    return [plain, *others]


def _calls(board: Board, facts: Mapping[str, Fact], knowledge: Knowledge) -> Iterator[Call]:
    """Give every move some cause calls for, each once."""
    found: dict[tuple[str, str], list[tuple[int, TradeRemedy]]] = {}
    for at, cause in enumerate(board.weighing.causes):
        for entry in _usable(cause, facts, knowledge):
            found.setdefault((entry.kind, _name(entry, knowledge)), []).append((at, entry))
    changed = str(facts.get(WHAT_CHANGED, ""))
    if changed in IN_STEPS:
        found.setdefault(("undo", f"undo-{changed}"), [])
    for (kind, name), entries in found.items():
        entries.sort(key=lambda one: -board.chances[one[0]])
        yield _call(kind, name, entries, board, facts, knowledge)


def _usable(cause: Cause, facts: Mapping[str, Fact], knowledge: Knowledge) -> Iterator[TradeRemedy]:
    """Give the cause's own remedies that make sense: no look that was made, nothing put back that never changed."""
    others = any(entry.kind != "inspect" for entry in cause.remedies) or cause.instead is not None
    for entry in cause.remedies:
        holds = entry.only_if is None or knowledge.holds(entry.only_if, facts) is True
        gone = entry.undo is not None and facts.get(WHAT_CHANGED) != entry.undo
        made = others and bool(entry.answers) and all(plain_id(one) in facts for one in entry.answers)
        if holds and not gone and not made:
            yield entry


def _name(entry: TradeRemedy, knowledge: Knowledge) -> str:
    """Name a move; that of a lever with its way, "+" or "-"."""
    if entry.lever is None or entry.move is None:
        return entry.id
    return f"{entry.lever} {'+' if knowledge.move_sign(entry.lever, entry.move) > 0 else '-'}"


def _call(
    kind: str,
    name: str,
    entries: Sequence[tuple[int, TradeRemedy]],
    board: Board,
    facts: Mapping[str, Fact],
    knowledge: Knowledge,
) -> Call:
    """Value one move under every cause."""
    told = tuple((board.titles[at], entry) for at, entry in entries)
    of = frozenset(at for at, _ in entries)
    minutes = next((entry.minutes for _, entry in entries if entry.minutes is not None), None)
    cost = board.minute * with_laps(kind, usual_minutes(kind) if minutes is None else minutes)
    finds = _finds(entries, board, facts, knowledge) if kind == "inspect" else ()
    cures = [0.0] * len(board.chances)
    if kind == "undo":
        cures = _put_back(str(facts.get(WHAT_CHANGED, "")), board, facts)
    for at, entry in entries:
        cures[at] = 0.0 if finds else CURES[entry.confidence] if entry.cures is None else entry.cures
    return Call(Option(kind, name, tuple(cures), cost, finds, of), told)


def usual_minutes(kind: str, when: str = "between runs") -> float:
    """Say how long a move takes where nobody said it."""
    return WITHOUT_WRENCH.get(kind, MINUTES[when])


def with_laps(kind: str, minutes: float) -> float:
    """Add the laps that show what a move has done."""
    return minutes if kind == "inspect" else minutes + LAPS


def _put_back(changed: str, board: Board, facts: Mapping[str, Fact]) -> list[float]:
    """Return what putting a change back cures: what such changes often make, and a balance that was right before."""
    often = [cause.made_by.get(changed) == "often" for cause in board.weighing.causes]  # type: ignore[call-overload]
    cures = [PUT_BACK if one else 0.0 for one in (*often, False)]
    if facts.get("was_right") == "yes":
        cures[board.plain] = PUT_BACK
    return cures


def _finds(
    entries: Sequence[tuple[int, TradeRemedy]], board: Board, facts: Mapping[str, Fact], knowledge: Knowledge
) -> tuple[tuple[float, ...], ...]:
    """Return the chance of each find of a look under each cause; none where finding it is mending it.

    A look that is the only remedy of its cause mends what it finds.
    """
    if any(all(one.kind == "inspect" for one in board.weighing.causes[at].remedies) for at, _ in entries):
        return ()
    models = knowledge.once(model_answers)
    asked = dict.fromkeys(plain_id(one) for _, entry in entries for one in entry.answers)
    open_ones = [qid for qid in asked if qid not in facts and models[qid].usual][:MOST_ASKED]
    if not open_ones:
        return ()
    names = [*(cause.cause for cause in board.weighing.causes), ""]
    rows = knowledge.once(chances_by_cause)
    chances = [[[row.get(name, row[""]) for name in names] for row in rows[qid]] for qid in open_ones]
    return tuple(tuple(map(prod, zip(*found, strict=True))) for found in product(*chances))


def chances_by_cause(knowledge: Knowledge) -> dict[str, list[dict[str, float]]]:
    """Say how likely each answer of a question is under the causes it tells of, and under "" for all others.

    Ask for it with `knowledge.once`.
    """
    return {
        qid: [
            {"": usual}
            | {cause: usual * exp(signs[choice].weight) for cause, signs in model.signs.items() if choice in signs}
            for choice, usual in model.usual.items()
        ]
        for qid, model in knowledge.once(model_answers).items()
    }
