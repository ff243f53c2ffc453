"""What a lever file and a driving file may hold, and the few words that all knowledge files share."""

from typing import Annotated, Literal, get_args

from pydantic import Field, StringConstraints

from assistant.car.lever_rows import LEVER_KIND
from assistant.ground.read_model import Block, NumberOrText, Text
from assistant.ground.units import kind_of_unit

Phase = Literal["entry", "middle", "exit"]
AnyPhase = Literal["entry", "middle", "exit", "all", "none"]
Stage = Literal["fresh", "settled", "worn"]
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
Prior = Literal["common", "usual", "rare"]
DiffersKind = Literal["model lacks", "depends on", "disputed"]
When = Literal["pit stop", "between runs", "shop"]
Group = Literal[
    "scales", "springs", "shocks", "rear axle", "front end", "air", "brakes", "aero", "drive", "fuel"
]  # the groups of assistant.car.setup; a test compares them

Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9_-]{0,59}$")]
LeverId = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]{0,59}$")]
ModelName = Annotated[str, StringConstraints(pattern=r"^(car\.)?[a-z][a-z0-9_]{0,59}$")]
"""A lever of the vehicle model, or a number of the car file such as car.cg_height."""
SourceKey = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9 _-]{0,59}$")]
Sources = Annotated[list[str], Field(min_length=1, description="Keys of sources, 'common practice' or 'memory'.")]
"""Such as [ct-loose, "ct-exit, p. 2", common practice]."""


class TradeLine(Block):
    """What the trade says the + direction does in one phase."""

    balance: TradeView
    confidence: Confidence
    backed_by: Sources
    says: Text | None = None


class Reason(Block):
    """Why the vehicle model does not confirm what the trade says."""

    kind: DiffersKind = Field(description="What is missing in the model, what it hangs on, or who disputes it.")
    why: Text


class Differs(Reason):
    """Such a reason for the + direction of a lever in one phase."""

    phase: Phase


class Side(Block):
    """One side of a dispute."""

    says: Text
    backed_by: Sources


class Dispute(Block):
    """Where sources disagree, and what decides."""

    topic: Text
    side_a: Side
    side_b: Side
    decides: Text


class BookEffect(Block):
    """An assumed effect for a lever the model does not compute; percent of grip, + tighter; band zero to double."""

    per_usual_change: dict[Phase, float] = Field(min_length=1)


class OwnRange(Block):
    """How far a lever of a team's own goes, and where it stands; in the unit of the lever."""

    low: NumberOrText = Field(alias="from", description="The least it can be.")
    high: NumberOrText = Field(alias="to", description="The most it can be.")
    step: NumberOrText = Field(description="The smallest change that can be made.")
    now: NumberOrText = Field(description="Where it stands, when the setup file of a case does not say.")


class Lever(Block):
    """One adjustable thing on the car."""

    lever: LeverId
    title: Text
    group: Group
    also_said: list[Text] = []
    unit: str
    plus_word: Text
    minus_word: Text
    plus_verb: Text
    minus_verb: Text
    model: ModelName | None = Field(
        None,
        description="The lever of the vehicle model that computes it; for a lever of your own also a number of the "
        "car file, such as car.cg_height.",
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
    cautions: list[Id] = []
    trade: dict[Phase, TradeLine] = {}
    differs: list[Differs] = Field([], description="Where the computed direction may be another than the trade's.")
    disputed: list[Dispute] = []
    physics: Text
    why_no_remedy: Text | None = Field(None, description="Why no symptom has it for a remedy, where that is meant so.")
    side_effects: list[Text] = []
    preference: float = Field(1.0, ge=0.1, le=2.0, description="The trade's liking, used in ranking.")
    only_if: Text | None = Field(None, description="A condition for this lever to make sense at all.")
    backed_by: Sources

    @property
    def is_own(self) -> bool:
        """Whether a team added it; the setup of a car does not know it."""
        return self.lever not in LEVER_KIND

    @property
    def quantity(self) -> str | None:
        """Key of QUANTITIES it is measured in: that of the setup, or of the unit; None for a unit of none."""
        return LEVER_KIND.get(self.lever) or kind_of_unit(self.unit)


class Helps(Block):
    """What a driving habit is an answer to."""

    balance: Balance
    phase: AnyPhase


class DrivingForce(Block):
    """Change of a phase's force demand, as a share: '-10 %'. until: share of the run for which it is kept up."""

    entry_brake: NumberOrText | None = None
    middle_drive: NumberOrText | None = None
    exit_drive: NumberOrText | None = None
    until: NumberOrText | None = None


class Driving(Block):
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
    cautions: list[Id] = []
    backed_by: Sources
