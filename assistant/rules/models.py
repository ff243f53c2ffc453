"""What each kind of knowledge file may hold; the first name in a file tells its kind.

Here are the small files, the rules of reading tires, the weights of ranking and the list of all kinds; levers and
symptoms stand in the modules beside it.
"""

from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import Field, model_validator

from assistant.ground.read_model import Block, NumberOrText, Text
from assistant.rules.models_lever import Confidence, Driving, Id, Lever, LeverId, Phase, SourceKey, Sources, Stage
from assistant.rules.models_symptom import CasesFile, Cause, ChangesFile, PhrasesFile, QuestionsFile, Symptom


class TireRule(Block):
    """One rule of reading tires. Of two rules on one thing, `stricter` is shown beside the one that is used."""

    title: Text
    about: Literal["how", "pressure", "camber", "toe", "balance", "cross", "build", "wear", "number"]
    tire: Literal["any", "lf", "rf", "lr", "rr", "front", "rear"] = "any"
    condition: Text | None = Field(
        None, alias="if", description="A condition on the readings; without one it always holds."
    )
    says: Text
    stricter: bool = Field(default=False, description="true: a stricter rule that is mentioned, not used.")
    lever: LeverId | None = None
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


class TireReadingFile(Block):
    """All rules of reading tires, by key."""

    tire_reading: dict[Id, TireRule] = Field(min_length=1)


class PackFile(Block):
    """The cover of a pack."""

    as_written: ClassVar[tuple[str, ...]] = ("edition", "title")

    pack: Id
    title: Text
    edition: Text
    rule_format: Literal[1] = Field(description="The format this pack is written in.")
    builds_on: Id | None = Field(None, description="The pack this one changes, usually base.")
    about: Text | None = None


class Source(Block):
    """Where a statement comes from, and how much of it was read."""

    who: Text
    title: Text
    year: int | None = None
    where: Text | None = None
    read: Literal["whole", "opening only", "quoted", "memory"]
    says: Text | None = None


class SourcesFile(Block):
    """All sources of a pack, by key."""

    sources: dict[SourceKey, Source] = Field(min_length=1)


class Caution(Block):
    """A short warning."""

    says: Text
    backed_by: Sources


class CautionsFile(Block):
    """All cautions, by key."""

    cautions: dict[Id, Caution] = Field(min_length=1)


class GlossaryEntry(Block):
    """One word explained."""

    means: Text
    see: list[Text] = []
    also_said: list[Text] = []
    backed_by: list[str] = []


class GlossaryFile(Block):
    """Words explained."""

    glossary: dict[str, GlossaryEntry] = Field(min_length=1)


class StageEntry(Block):
    """Which laps of a run a stage is, in words."""

    title: Text
    means: Text


class StagesFile(Block):
    """Where in a run the balance is reported."""

    stages: dict[Stage, StageEntry] = Field(min_length=1)


class PracticeRule(Block):
    """One rule of testing."""

    rule: Text
    because: Text
    backed_by: Sources


class PracticeFile(Block):
    """How to find out, whatever the complaint is."""

    practice: list[PracticeRule] = Field(min_length=1)


class NotUsedRow(Block):
    """A published claim that is not used, and why."""

    row: Text
    why: Text


class NotUsedFile(Block):
    """What was read and is not used as advice."""

    not_used: list[NotUsedRow] = Field(min_length=1)


Share = Annotated[float, Field(ge=0, le=1)]


InterviewWeight = Literal[
    "question_price", "price_growth", "minute_price", "topic_price", "unsure_again", "none_of_these"
]


UNSTATED: Any = None
"""A weight that a pack leaves as it is; of all packs together every one is stated."""


class Weights(Block):
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
    families: list[list[LeverId]] = UNSTATED
    package_levers: Annotated[int, Field(ge=1, le=60)] = UNSTATED
    package_least_confidence: Share = UNSTATED
    package_must_beat: Share = UNSTATED
    lever_must_add: Share = UNSTATED
    not_in_packages: dict[LeverId, list[Phase]] = UNSTATED
    interview: dict[InterviewWeight, Share] = UNSTATED

    def unstated(self) -> list[str]:
        """Name the weights that are not stated."""
        return [name for name, value in self if value is None]


KINDS: dict[str, type[Block]] = {
    "pack": PackFile,
    "sources": SourcesFile,
    "cautions": CautionsFile,
    "glossary": GlossaryFile,
    "stages": StagesFile,
    "practice": PracticeFile,
    "not_used": NotUsedFile,
    "ranking": Weights,
    "lever": Lever,
    "symptom": Symptom,
    "cases_for": CasesFile,
    "changes_to": ChangesFile,
    "driving": Driving,
    "cause": Cause,
    "questions": QuestionsFile,
    "phrases": PhrasesFile,
    "tire_reading": TireReadingFile,
}
"""First name in a file to the model of such a file."""
NAMED = ("pack", "ranking", "lever", "symptom", "cases_for", "changes_to", "driving", "cause")
"""Kinds that hold one thing, whose name stands in the first line; the file is called after it."""
SHELVED = ("sources", "cautions", "glossary", "questions", "stages", "tire_reading")
"""Kinds that hold many things by name."""
