"""What a knowledge file may hold: levers, driving habits, the small files, the weights of ranking.

What stands behind a complaint is in `models_symptom`. A field that names a thing of another file says so by `Refers`,
and `references` looks whether it is there.
"""

from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, Literal, Self, get_args

from pydantic import BeforeValidator, Field, StringConstraints, WithJsonSchema, model_validator

from assistant.car.case import When
from assistant.car.keys import LEVER_KIND
from assistant.ground.names import CornerKey, Phase
from assistant.ground.read_model import FileBlock, NumberOrText, Text
from assistant.ground.units import kind_of_unit, read

AnyPhase = Literal[Phase, "all", "none"]

Balance = Literal["loose", "tight", "none"]
Change = Literal["tighter", "looser"]
TradeView = Literal["tighter", "looser", "none", "depends"]
Confidence = Literal["good", "fair", "guess"]
Strength = Literal["decides", "strong", "fair", "weak"]
HowOften = Literal["often", "seldom", "never"]
ChangeKind = Literal["tires", "suspension", "links", "brakes", "front", "surroundings"]
"""What was changed: tires or air; springs, shocks, heights, scales; bar, links, track bar; brakes or gear; steering,
body, contact or repair; weather, track, driver. Answers of the question `what-changed`."""
CHANGE_KINDS: tuple[ChangeKind, ...] = get_args(ChangeKind)
Minutes = Annotated[
    float | None, Field(None, ge=0, le=600, description="How long it takes; unless said 1, 15 or 120 by `when`.")
]
Prior = Literal["common", "usual", "rare", "very rare"]
DiffersKind = Literal["model lacks", "depends on", "disputed"]

Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9_-]{0,59}$")]
LeverId = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]{0,59}$")]
ModelName = Annotated[str, StringConstraints(pattern=r"^(car\.)?[a-z][a-z0-9_]{0,59}$")]
"""A lever of the vehicle model, or a number of the car file such as car.cg_height."""
SourceKey = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9 _-]{0,59}$")]


@dataclass(frozen=True)
class Refers:
    """Marks what names a thing that must be there. kind: where it is looked for, a key of `references.NAMED_THINGS`."""

    kind: str


ConditionText = Annotated[Text, Refers("condition")]
"""Such as 'banking > 8 deg'."""
NamedLever = Annotated[LeverId, Refers("lever")]
NamedSymptom = Annotated[Text, Refers("symptom")]
NamedCause = Annotated[Id, Refers("cause")]
SymptomOrCause = Annotated[Text, Refers("symptom or cause")]
NamedHabit = Annotated[Id, Refers("driving")]
NamedCaution = Annotated[Id, Refers("caution")]
NamedQuestion = Annotated[Id, Refers("question")]
NamedRemedy = Annotated[Text, Refers("remedy")]
NamedSource = Annotated[str, Refers("source")]
Answers = Annotated[dict[Id, Id], Refers("answers")]
"""Questions with the choice that answers each."""
Sources = Annotated[
    list[NamedSource], Field(min_length=1, description="Keys of sources, 'common practice' or 'memory'.")
]
"""Such as [ct-loose, "ct-exit, p. 2", common practice]."""


def _one_or_many(value: object) -> object:
    return [value] if isinstance(value, str) else value


Phases = Annotated[
    list[Phase],
    BeforeValidator(_one_or_many),
    WithJsonSchema({"type": ["string", "array"], "items": {"enum": list(get_args(Phase))}}),
]


class TradeLine(FileBlock):
    """What the trade says the + direction does in one phase."""

    balance: TradeView
    confidence: Confidence
    backed_by: Sources
    says: Text | None = None


class Reason(FileBlock):
    """Why the vehicle model does not confirm what the trade says."""

    kind: DiffersKind = Field(description="What is missing in the model, what it hangs on, or who disputes it.")
    why: Text


class Differs(Reason):
    """Such a reason for the + direction of a lever in one phase."""

    phase: Phase


class Side(FileBlock):
    """One side of a dispute."""

    says: Text
    backed_by: Sources


class Dispute(FileBlock):
    """Where sources disagree, and what decides."""

    topic: Text
    side_a: Side
    side_b: Side
    decides: Text


class BookEffect(FileBlock):
    """An assumed effect for a lever the model does not compute; percent of grip, + tighter; band zero to double."""

    per_usual_change: dict[Phase, float] = Field(min_length=1)


class OwnRange(FileBlock):
    """How far a lever of a team's own goes, and where it stands; in the unit of the lever."""

    low: NumberOrText = Field(alias="from", description="The least it can be.")
    high: NumberOrText = Field(alias="to", description="The most it can be.")
    step: NumberOrText = Field(description="The smallest change that can be made.")
    now: NumberOrText = Field(description="Where it stands, when the setup file of a case does not say.")


class Lever(FileBlock):
    """One adjustable thing on the car."""

    lever: LeverId
    title: Text
    also_said: list[Text] = []
    unit: str
    plus_word: Text
    minus_word: Text
    plus_verb: Text
    minus_verb: Text
    model: ModelName | None = Field(
        None,
        description="Only for a lever of your own: the lever of the vehicle model, or the number of the car file such "
        "as car.cg_height, that it moves.",
    )
    model_change: NumberOrText | None = Field(
        None, description="Only for a lever of your own with 'model': what one step in the + direction does to that."
    )
    range: OwnRange | None = Field(None, description="Only for a lever of your own, and needed there.")
    by_the_book: BookEffect | None = None
    usual_change: NumberOrText
    largest_change: NumberOrText = Field(description="The largest sensible single change.")
    when: When
    minutes: Minutes
    how: list[Text] = Field(min_length=1, description="One line per step of the job.")
    recheck: list[Text] = []
    cautions: list[NamedCaution] = []
    trade: dict[Phase, TradeLine] = {}
    differs: list[Differs] = Field([], description="Where the computed direction may be another than the trade's.")
    disputed: list[Dispute] = []
    physics: Text
    why_no_remedy: Text | None = Field(None, description="Why no symptom has it for a remedy, where that is meant so.")
    side_effects: list[Text] = []
    preference: float = Field(1.0, ge=0.1, le=2.0, description="The trade's liking, used in ranking.")
    only_if: ConditionText | None = Field(None, description="A condition for this lever to make sense at all.")
    backed_by: Sources

    @property
    def is_own(self) -> bool:
        """Whether a team added it; the setup of a car does not know it."""
        return self.lever not in LEVER_KIND

    @property
    def quantity(self) -> str | None:
        """Key of QUANTITIES it is measured in: that of the setup, or of the unit; None for a unit of none."""
        return LEVER_KIND.get(self.lever) or kind_of_unit(self.unit)

    def in_si(self, text: str | float) -> float:
        """Read a number of its file; a bare one is in its own unit."""
        return read(text, self.quantity or "count", default_unit=self.unit).value


class Helps(FileBlock):
    """What a driving habit is an answer to."""

    balance: Balance
    phase: AnyPhase


class DrivingForce(FileBlock):
    """Change of a phase's force demand, as a share: '-10 %'. until: share of the run for which it is kept up."""

    entry_brake: NumberOrText | None = None
    middle_drive: NumberOrText | None = None
    exit_drive: NumberOrText | None = None
    until: NumberOrText | None = None


class Driving(FileBlock):
    """A driving habit to change."""

    driving: Id
    title: Text
    says: Text
    also_said: list[Text] = []
    helps: Helps
    computed: DrivingForce | None = None
    by_the_book: dict[Phase, float] = Field({}, description="Percent of grip, + tighter.")
    because: Text
    watch_for: list[Text] = []
    undo_if: Text | None = None
    confidence: Confidence
    cautions: list[NamedCaution] = []
    backed_by: Sources


class TireRule(FileBlock):
    """One rule of reading tires. Of two rules on one thing, `stricter` is shown beside the one that is used."""

    title: Text
    about: Literal["how", "pressure", "camber", "toe", "balance", "cross", "build", "wear", "number"]
    tire: Literal["any", CornerKey, "front", "rear"] = "any"
    condition: ConditionText | None = Field(
        None, alias="if", description="A condition on the readings; without one it always holds."
    )
    says: Text
    stricter: bool = Field(default=False, description="true: a stricter rule that is mentioned, not used.")
    lever: NamedLever | None = None
    move: Text | None = Field(None, description="A word of the lever, such as less or negative.")
    amount: NumberOrText | None = Field(None, description="How much, with its unit: a step, a limit or a rate.")
    per: NumberOrText | None = Field(None, description="For a rate: per how much, with its unit.")
    low: NumberOrText | None = None
    high: NumberOrText | None = None
    confidence: Confidence
    backed_by: Sources

    @model_validator(mode="after")
    def _fit_together(self) -> Self:
        if (self.lever is None) != (self.move is None):
            raise ValueError("needs 'lever' and 'move' together; 'move: less' says which way the lever goes")
        if self.about == "number" and self.amount is None:
            raise ValueError("needs 'amount'; a rule about a number states it, with its unit")
        return self


class PackFile(FileBlock):
    """The cover of a pack."""

    as_written: ClassVar[tuple[str, ...]] = ("edition", "title")

    pack: Id
    title: Text
    edition: Text
    rule_format: Literal[1] = Field(description="The format this pack is written in.")
    builds_on: Id | None = Field(None, description="The pack this one changes, usually base.")
    about: Text | None = None


class Source(FileBlock):
    """Where a statement comes from, and how much of it was read."""

    who: Text
    title: Text
    year: int | None = None
    where: Text | None = None
    read: Literal["whole", "opening only", "quoted", "memory"]
    says: Text | None = None


class Caution(FileBlock):
    """A short warning."""

    says: Text
    backed_by: Sources


class GlossaryEntry(FileBlock):
    """One word explained."""

    means: Text
    see: list[Annotated[Text, Refers("word")]] = []
    also_said: list[Text] = []
    backed_by: list[NamedSource] = []


class PracticeRule(FileBlock):
    """One rule of testing."""

    rule: Text
    because: Text
    backed_by: Sources


class PracticeFile(FileBlock):
    """How to find out, whatever the complaint is."""

    practice: list[PracticeRule] = Field(min_length=1)


class NotUsedRow(FileBlock):
    """A published claim that is not used, and why."""

    row: Text
    why: Text


class NotUsedFile(FileBlock):
    """What was read and is not used as advice."""

    not_used: list[NotUsedRow] = Field(min_length=1)


Share = Annotated[float, Field(ge=0, le=1)]


InterviewWeight = Literal["question_price", "price_growth", "minute_price", "unsure_again", "none_of_these"]


UNSTATED: Any = None
"""A weight that a pack leaves as it is; of all packs together every one is stated."""


class Weights(FileBlock):
    """Weights of sizing and ranking; a later pack states only those it changes. The base file says what each means."""

    ranking: Id
    severity_unsaid: Annotated[float, Field(ge=1, le=5)] = UNSTATED
    cell_weights: dict[Literal["reported", "fine", "unmentioned"], Share] = UNSTATED
    step_price: Annotated[float, Field(ge=0)] = UNSTATED
    tire_price: Annotated[float, Field(ge=0)] = UNSTATED
    short_run_price: Annotated[float, Field(ge=0)] = UNSTATED
    pace_price: Annotated[float, Field(ge=0)] = UNSTATED
    confidence_power: Annotated[float, Field(ge=0)] = UNSTATED
    by_the_book_confidence: Share = UNSTATED
    confidence_words: dict[Confidence, Share] = UNSTATED
    not_in_time: Share = UNSTATED
    trade_fade: Share = UNSTATED
    trade_least: Share = UNSTATED
    not_in_trade_list: Share = UNSTATED
    against_trade: Share = UNSTATED
    driving_unknown: Share = UNSTATED
    most_remedies: Annotated[int, Field(ge=1, le=30)] = UNSTATED
    families: list[list[NamedLever]] = UNSTATED
    package_least_confidence: Share = UNSTATED
    package_must_beat: Share = UNSTATED
    lever_must_add: Share = UNSTATED
    not_in_packages: dict[NamedLever, list[Phase]] = UNSTATED
    interview: dict[InterviewWeight, Share] = UNSTATED

    def unstated(self) -> list[str]:
        """Name the weights that are not stated."""
        return [name for name, value in self if value is None]
