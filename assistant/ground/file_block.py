"""What every model of a file has in common: no unknown fields, nothing converted silently, nothing changed later."""

from typing import Annotated, ClassVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, StringConstraints, WithJsonSchema


class Block(BaseModel):
    """One block of a file. as_written: names of fields kept as text although they may look like numbers.

    Each model is built when it is first used: most are only ever used inside others.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, defer_build=True)
    as_written: ClassVar[tuple[str, ...]] = ()


def _number_to_text(value: object) -> object:
    if isinstance(value, bool):
        return value
    return str(value) if isinstance(value, int) else f"{value:.15g}" if isinstance(value, float) else value


Text = Annotated[str, StringConstraints(min_length=1, strip_whitespace=True)]
"""Words for people."""
NumberOrText = Annotated[str, BeforeValidator(_number_to_text), WithJsonSchema({"type": ["string", "number"]})]
"""A value that may be written as a bare number or as text with its unit; kept as text for `units.read`."""
