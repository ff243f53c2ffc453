"""What the file on reading tires may hold: how to probe, what a reading means, and the few numbers behind it."""

from typing import Literal, Self

from pydantic import Field, model_validator

from assistant.reading.blocks import Block, NumberOrText, Text
from assistant.rules.words_allowed import Confidence, Id, LeverId, Sources


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
