"""The few words that knowledge files share: phases, stages, balances, confidences, times."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

Phase = Literal["entry", "middle", "exit"]
AnyPhase = Literal["entry", "middle", "exit", "all", "none"]
Stage = Literal["fresh", "settled", "worn"]
Balance = Literal["loose", "tight", "none"]
Change = Literal["tighter", "looser"]
TradeView = Literal["tighter", "looser", "none", "depends"]
Confidence = Literal["good", "fair", "guess"]
Strength = Literal["strong", "fair", "weak"]
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
