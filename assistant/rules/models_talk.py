"""What the files behind the conversation may hold: causes, questions, phrases."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from assistant.reading.blocks import Block, NumberOrText, Text
from assistant.rules.models_symptom import Remedy
from assistant.rules.words_allowed import AnyPhase, Balance, Id, Phase, Prior, Sources, Stage, Strength


def _one_or_many(value: object) -> object:
    return [value] if isinstance(value, str) else value


Phases = Annotated[
    list[Phase],
    BeforeValidator(_one_or_many),
    WithJsonSchema({"type": ["string", "array"], "items": {"enum": ["entry", "middle", "exit"]}}),
]


class Explains(Block):
    """A complaint that a cause explains."""

    balance: Balance
    phase: AnyPhase
    stages: list[Stage] = ["fresh", "settled", "worn"]


class CauseSign(Block):
    """A sign for or against a cause."""

    condition: Text = Field(alias="if", description="A condition or an answer, such as 'extra-wheel is yes'.")
    strength: Strength
    same_as: Id | None = Field(None, description="Signs of one group repeat each other and count once.")
    text: Text
    backed_by: list[str] = []


class Cause(Block):
    """Why a car does something, with the signs that speak for and against."""

    cause: Id
    title: Text
    also_said: list[Text] = []
    prior: Prior
    explains: list[Explains] = Field(min_length=1)
    signs_for: list[CauseSign] = Field(min_length=1)
    signs_against: list[CauseSign] = []
    instead: Text | None = Field(None, description="The symptom to treat instead.")
    test: Text = Field(description="How to tell.")
    because: Text | None = None
    remedies: list[Remedy] = []
    safety: bool = Field(default=False, description="true: stop and inspect before any adjustment.")
    cautions: list[Id] = []
    backed_by: Sources


class Choice(Block):
    """One answer to a question."""

    id: Id
    says: Text
    means: Text | None = None


class Question(Block):
    """One question of the interview."""

    asks: Text
    topic: Text
    choices: list[Choice] = Field(min_length=2, max_length=7)
    how_to_tell: Text
    why: Text | None = None
    when: Text | None = Field(None, description="A condition for the question to make sense.")
    minutes: float | None = Field(None, ge=0, description="What it costs to find out, at the track.")


class QuestionsFile(Block):
    """The questions of the interview, by id."""

    questions: dict[Id, Question] = Field(min_length=1)


class Phrase(Block):
    """Words of drivers, and what they mean; each key is described at the head of the base pack's phrases.yaml."""

    says: list[Text] = Field(min_length=1)
    balance: Literal["loose", "tight", "fine"] | None = None
    phase: Phases | None = None
    moment: Text | None = None
    stages: list[Stage] | None = None
    usual_stages: list[Stage] | None = None
    usual_phase: Phases | None = None
    severity: NumberOrText | None = None
    end: Literal["first", "second", "both", "turn"] | None = None
    laps: Literal["after", "first", "last"] | None = None
    trend: Literal["looser", "tighter", "worse"] | None = None
    symptom: Text | None = None
    safety: Text | None = None
    negates: bool | None = None
    improves: bool | None = None
    leaves: bool | None = None
    leads: bool | None = None
    rest: bool | None = None
    bare: bool | None = None
    bare_number: bool | None = None
    nothing: bool | None = None
    onset: bool | None = None
    elsewhere: bool | None = None
    asks: Text | None = None


class Danger(Block):
    """A part and what is wrong with it, in either order; each key is described in the base pack's phrases.yaml."""

    sign: Text
    parts: list[Text] = []
    says: list[Text] = []
    behind: list[Text] = []
    before: list[Text] = []
    alone: bool | None = None
    unless: list[Text] = []
    not_before: list[Text] = []


class PhrasesFile(Block):
    """How drivers say it."""

    phrases: list[Phrase] = Field(min_length=1)
    dangers: list[Danger] = []
    parts: dict[str, list[Text]] = {}
    skipped: list[Text] = []
    ordinary: list[Text] = []
    listed: list[Text] = []
    laps: dict[str, int] = {}
    short: dict[str, Text] = {}
