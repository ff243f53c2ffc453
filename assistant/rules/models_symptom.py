"""What the files behind a complaint may hold: symptoms, their cases and changes, causes, questions, phrases."""

from typing import Annotated, ClassVar, Literal, Self, get_args

from pydantic import Field, model_validator

from assistant.ground.names import CornerKey, Stage
from assistant.ground.read_model import FileBlock, NumberOrText, Text
from assistant.rules.models import (
    Answers,
    AnyPhase,
    Balance,
    Change,
    ChangeKind,
    ConditionText,
    Confidence,
    HowOften,
    Id,
    LeverId,
    Minutes,
    NamedCause,
    NamedCaution,
    NamedHabit,
    NamedLever,
    NamedQuestion,
    NamedRemedy,
    NamedSource,
    NamedSymptom,
    Phases,
    Prior,
    Reason,
    Refers,
    Sources,
    Strength,
    SymptomOrCause,
)


class MixUp(FileBlock):
    """Something that feels alike."""

    symptom: NamedSymptom | None = None
    cause: NamedCause | None = None
    tell_apart: Text

    @model_validator(mode="after")
    def _name_one(self) -> Self:
        if (self.symptom is None) == (self.cause is None):
            raise ValueError("must name one thing; either 'symptom: ...' or 'cause: ...'")
        return self


REMEDY_KINDS = ("lever", "driving", "inspect", "repair", "undo", "leave")
SAID_HERE = ("inspect", "repair", "leave")
"""Kinds whose remedies are described where they stand, with title and steps."""
TRIED = ("repair", "driving")
"""Kinds that are no lever and, tried in vain, speak against their cause."""


class TradeRemedy(FileBlock):
    """One answer: a lever, a driving habit, a look, a repair, a change to put back, or to leave the car alone."""

    lever: NamedLever | None = None
    move: Text | None = Field(None, description="A word of the lever such as up or softer, or '+' or '-'.")
    driving: NamedHabit | None = None
    inspect: Id | None = Field(None, description="A look or a measurement.")
    repair: Id | None = Field(None, description="The cause's own remedy: mended, or set to the sheet.")
    undo: ChangeKind | None = Field(None, description="Put back what was changed of this kind, in steps.")
    leave: Id | None = Field(None, description="Change nothing: the track, traffic, cold tires, too small to chase.")
    title: Text | None = Field(None, description="For inspect, repair and leave: what to look at or to do.")
    how: list[Text] = Field([], description="For inspect, repair and leave: one line per step.")
    answers: list[NamedQuestion] = Field([], description="For inspect: the questions it answers.")
    minutes: Minutes
    cures: float | None = Field(
        None, ge=0, le=1, description="Share of the complaint it takes away where this is the cause."
    )
    because: Text
    watch_for: list[Text] = []
    undo_if: Text | None = None
    confidence: Confidence
    backed_by: Sources
    only_if: ConditionText | None = Field(None, description="A condition, such as 'banking > 8 deg'.")
    differs: Reason | None = Field(None, description="Why the computed direction may be the other one.")
    cautions: list[NamedCaution] = []

    @model_validator(mode="after")
    def _name_one(self) -> Self:
        named = [kind for kind in REMEDY_KINDS if getattr(self, kind) is not None]
        if len(named) != 1:
            raise ValueError("must name one thing; exactly one of " + ", ".join(f"'{kind}'" for kind in REMEDY_KINDS))
        if (self.lever is not None) != (self.move is not None):
            raise ValueError("needs 'lever' and 'move' together; 'move: up' says which way the lever goes")
        if named[0] in SAID_HERE and not (self.title and self.how):
            raise ValueError("needs 'title' and 'how'; say what to do and how it is done")
        if self.answers and self.inspect is None:
            raise ValueError("has 'answers' but is no look; only what 'inspect' finds answers a question")
        return self

    @property
    def kind(self) -> str:
        """One of REMEDY_KINDS."""
        return next(kind for kind in REMEDY_KINDS if getattr(self, kind) is not None)

    @property
    def id(self) -> str:
        """The id of what it names; that of a change to put back is "undo-tires"."""
        return f"undo-{self.undo}" if self.undo else str(getattr(self, self.kind))

    @property
    def name(self) -> str:
        """The remedy's name in cases and team packs: "track_bar_right down", "squeeze-later", "axle-square"."""
        return f"{self.lever} {self.move}" if self.lever else self.id


class Symptom(FileBlock):
    """One complaint and the trade's answers to it, best first."""

    as_written: ClassVar[tuple[str, ...]] = ("symptom", "last_changed")

    symptom: Text
    also_said: list[Text] = []
    balance: Balance
    phase: AnyPhase
    stages: list[Stage] = Field(list(get_args(Stage)), min_length=1)
    trend: Change | None = None
    feels_like: Text
    not_to_mix_up_with: list[MixUp] = []
    remedies: list[TradeRemedy] = Field(min_length=1, description="Best first.")
    cautions: list[NamedCaution] = []
    safety: bool = Field(default=False, description="true: stop and inspect before any adjustment.")
    last_changed: Text | None = Field(None, description="Edition in which this file last changed.")
    retired: Text | None = Field(None, description="Why it is no longer used; kept so that old reports can be read.")


class Expect(FileBlock):
    """What must come out of an example case."""

    found: NamedSymptom | None = None
    not_found: NamedSymptom | None = None
    cause: NamedCause | None = Field(None, description="The likeliest cause.")
    not_cause: NamedCause | None = Field(None, description="A cause that is not among the three likeliest.")
    first: NamedRemedy | None = None
    in_top_three: list[NamedRemedy] = []
    never: list[NamedRemedy] = []
    moves: dict[NamedRemedy, Change] = {}

    @model_validator(mode="after")
    def _expect_something(self) -> Self:
        if not any(getattr(self, name) for name in type(self).model_fields):
            raise ValueError("expects nothing; a case that cannot fail proves nothing")
        return self


class ExampleCase(FileBlock):
    """One example: a sentence that says what must happen, and how to check it."""

    case: Text
    on: Id = "demo"
    driver_says: Text
    answers: Annotated[dict[str, NumberOrText], Refers("answers")] = {}
    expect: Expect


class CasesFile(FileBlock):
    """The example cases of one symptom or cause."""

    as_written: ClassVar[tuple[str, ...]] = ("cases_for",)

    cases_for: SymptomOrCause
    cases: list[ExampleCase] = Field(min_length=1)


class MoveLine(FileBlock):
    """A remedy that gets another place in the list."""

    remedy: Text
    to: Text = Field(description="first, last, 'before <remedy>' or 'after <remedy>'.")


class RewordLine(FileBlock):
    """A remedy of which some lines are replaced."""

    remedy: Text
    because: Text | None = None
    watch_for: list[Text] | None = None
    undo_if: Text | None = None
    confidence: Confidence | None = None
    backed_by: Sources | None = None
    only_if: ConditionText | None = None
    title: Text | None = None
    how: list[Text] | None = None


class AddedRemedy(TradeRemedy):
    """A remedy a team adds, and where: at the end unless said."""

    after: Text | None = None
    before: Text | None = None


class ChangesFile(FileBlock):
    """A team's changes to a symptom of an earlier pack: dropped, moved, reworded, added, in that order."""

    as_written: ClassVar[tuple[str, ...]] = ("changes_to", "written_for")

    changes_to: Text
    why: Text
    written_for: Text = Field(description="Pack and edition it was written over, such as 'base 2026.1'.")
    drop: list[Text] = []
    move: list[MoveLine] = []
    reword: list[RewordLine] = []
    add: list[AddedRemedy] = []
    also_said: list[Text] = []
    no_longer: list[Text] = Field([], description="Example cases of earlier packs that are meant to fail now.")


class Explains(FileBlock):
    """A complaint that a cause explains: a balance and a part of the corner, or a symptom that has neither."""

    balance: Balance = "none"
    phase: AnyPhase = "none"
    stages: list[Stage] = list(get_args(Stage))
    symptom: NamedSymptom | None = Field(None, description="A symptom without a balance, by its name.")

    @model_validator(mode="after")
    def _name_one(self) -> Self:
        if (self.symptom is None) == (self.balance == "none"):
            raise ValueError("must name one thing; either 'balance' and 'phase' or 'symptom: ...'")
        return self


class CauseSign(FileBlock):
    """A sign for or against a cause."""

    condition: ConditionText = Field(alias="if", description="A condition or an answer, such as 'extra-wheel is yes'.")
    strength: Strength = Field(
        description="decides: only for a thing seen or measured, or a change put back that cured it."
    )
    same_as: Id | None = Field(None, description="Signs of one group repeat each other and count once.")
    text: Text
    backed_by: list[NamedSource] = []


Band = Annotated[list[NumberOrText], Field(min_length=2, max_length=2)]


class Cause(FileBlock):
    """Why a car does something, with the signs that speak for and against."""

    cause: Id
    title: Text
    title_told: Text | None = Field(None, description="Its title where the change was told; {} are the words.")
    also_said: list[Text] = []
    prior: Prior
    corner: CornerKey | None = None
    made_by: dict[ChangeKind, HowOften] = Field({}, description="How often such a change makes it; else seldom.")
    by_itself: HowOften = Field("often", description="How often it comes although nothing was changed.")
    plain: bool = Field(default=False, description="true: nothing is at fault; levers are its remedies.")
    # no NamedLever: `check_shifts` is stricter, it must be one that is computed
    model: dict[LeverId, Band] = Field({}, description="How far a lever is off when this is the cause, from and to.")
    comes_with_laps: bool = Field(default=False, description="true: it is not off at once but as the tires warm up.")
    explains: list[Explains] = Field(min_length=1)
    signs_for: list[CauseSign] = Field(min_length=1)
    signs_against: list[CauseSign] = []
    instead: NamedSymptom | None = Field(None, description="The symptom to treat instead.")
    test: Text = Field(description="How to tell.")
    because: Text | None = None
    remedies: list[TradeRemedy] = []
    safety: bool = Field(default=False, description="true: stop and inspect before any adjustment.")
    cautions: list[NamedCaution] = []
    backed_by: Sources


class Choice(FileBlock):
    """One answer to a question."""

    id: Id
    says: Text
    means: Text | None = None
    symptoms: list[NamedSymptom] = Field(default=[], description="Symptoms it complains of.")
    look: Text | None = Field(
        default=None, description="What to look at once more where a danger was told and nothing found."
    )
    cautions: list[NamedCaution] = []


Topic = Literal[
    "complaint", "safety", "before", "change", "feel", "feet", "hands", "driver", "drive", "track", "tires", "car"
]


class Question(FileBlock):
    """One question of the interview."""

    asks: Text
    topic: Topic = Field(description="What it is about; what is `feel` decides nothing.")
    choices: list[Choice] = Field(min_length=2, max_length=9)
    how_to_tell: Text
    after_danger: Text | None = Field(None, description="What it asks instead where the words told of a danger.")
    why: Text | None = None
    when: ConditionText | None = Field(None, description="A condition for the question to make sense.")
    answerable: float = Field(
        0.9, gt=0, le=1, description="Chance that a crew can answer it which has not that trouble."
    )
    early: ConditionText | None = Field(None, description="Where this holds it is asked before the others are weighed.")


class Says(FileBlock):
    """Words of drivers."""

    says: list[Text] = Field(min_length=1)


class Meaning(FileBlock):
    """What words mean; each key is described at the head of the base pack's phrases.yaml."""

    balance: Literal["loose", "tight", "fine"] | None = None
    phase: Phases | None = None
    moment: Text | None = None
    stages: list[Stage] | None = None
    usual_stages: list[Stage] | None = None
    usual_phase: Phases | None = None
    severity: NumberOrText | None = None
    end: Literal["first", "second", "both", "turn", "other", "same"] | None = None
    laps: Literal["after", "first", "last"] | None = None
    trend: Literal["looser", "tighter", "worse"] | None = None
    symptom: NamedSymptom | None = None
    safety: Text | None = None
    negates: bool | None = None
    improves: bool | None = None
    leaves: bool | None = None
    leads: bool | None = None
    rest: bool | None = None
    roundabout: bool | None = None
    bare: bool | None = None
    nothing: bool | None = None
    onset: bool | None = None
    grows: bool | None = None
    only: bool | None = None
    elsewhere: bool | None = None
    past: bool | None = None
    asks: Text | None = None
    answers: Answers | None = None


class Phrase(Meaning, Says):
    """Words of drivers, and what they mean; each key is described at the head of the base pack's phrases.yaml."""


class SaidOfPart(FileBlock):
    """A part and what is said of it, in either order; each key is described in the base pack's phrases.yaml."""

    parts: list[Text] = []
    says: list[Text] = []
    behind: list[Text] = []
    before: list[Text] = []
    alone: bool | None = None
    unless: list[Text] = []
    not_before: list[Text] = []
    answers: Answers | None = None


class Danger(SaidOfPart):
    """A part and what is wrong with it."""

    sign: Text


class ChangedParts(FileBlock):
    """Parts of a car, and which questions it answers that one of them was changed."""

    answers: Answers
    parts: list[Text] = Field(min_length=1)


class SaidBack(Says):
    """What is typed back to a question: the answers it is, or the choice it is wherever there is such a choice."""

    answers: Answers | None = None
    choice: Id | None = None
    begins: bool | None = None


class PhrasesFile(FileBlock):
    """How drivers say it."""

    phrases: list[Phrase] = Field(min_length=1)
    dangers: list[Danger] = []
    parts: dict[str, list[Text]] = {}
    changed: list[ChangedParts] = []
    changes: list[SaidOfPart] = []
    skipped: list[Text] = []
    ordinary: list[Text] = []
    listed: list[Text] = []
    laps: dict[str, int] = {}
    short: dict[str, Text] = {}
    signs: dict[str, Answers] = {}
    replies: list[SaidBack] = []
