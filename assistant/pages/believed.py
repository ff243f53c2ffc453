"""What is believed of the balance: what was said comes first, then sizes with no more digits than they carry."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from assistant.belief.known import FELT
from assistant.ground.grid import PHASES, STAGES
from assistant.pages.amounts import EVEN, EVEN_WORDS, NOTHING, balance_table, grid_table
from assistant.pages.as_said import as_said_data, doubts_of
from assistant.pages.blocks import Block, Line, Table

if TYPE_CHECKING:
    from assistant.advice.results import Advice
    from assistant.belief.look_ahead import RunAhead
    from assistant.belief.picture import Picture

NOT_KNOWN, EITHER_WAY, HARDLY = "not known", "either way", "too little to feel"
QUOTED = "In quotes what you said."
UNKNOWN = "Not known: as well tight as loose."
BANDS = "It stands where you say; the rest holds for 8 of 10 plausible cars."
SAID_BEFORE = "Nobody spoke of the car as it is now; it stands where the words before and the change take it."
NOBODY_SAID = "Nobody said how it handles; what is shown holds for 8 of 10 plausible cars."
PERCENT = "Balance in percent of grip"
NARROW = 0.1
"""Balance [%]: a wider band carries one digit only."""


def believed_table(picture: Picture) -> Table:
    """Show where the car is believed to stand: what was said first, a band where nobody said anything."""
    return grid_table(picture.value, lambda phase, stage: _state(picture, phase, stage), _legend(picture))


def believed_then_table(before: Picture, after: Picture) -> Table:
    """Show what is believed before and after a change in each cell."""

    def cell(phase: str, stage: str) -> str:
        return _then(before, after, phase, stage)

    return grid_table(before.value, cell, _legend(before))


def believed_change_table(change: Picture) -> Table:
    """Show what a change is believed to do."""
    return grid_table(change.value, lambda phase, stage: change_words(*_band(change, phase, stage)), "")


def say_believed(picture: Picture) -> str:
    """Say what stands behind the table."""
    return BANDS if picture.said else SAID_BEFORE if picture.told else NOBODY_SAID


def about_words(percent: float) -> str:
    """Say how the car stands to one digit: "0.4 tight", "even"."""
    if abs(percent) < EVEN:
        return EVEN_WORDS
    return f"{abs(percent):.1f} {'tight' if percent > 0 else 'loose'}"


def band_words(low: float, high: float) -> str:
    """Say a band: "0.2 to 1.1 tight", "even to 0.9 loose", "not known" where it is wide on both sides."""
    way, (near, far) = ("tight", (low, high)) if high + low > 0 else ("loose", (-high, -low))
    if near <= -FELT:
        return NOT_KNOWN
    if far < FELT:
        return EVEN_WORDS
    return f"even to {far:.1f} {way}" if near < EVEN else f"{_span(near, far)} {way}"


def change_words(low: float, high: float) -> str:
    """Say a change: "0.3 to 0.5 tighter"."""
    way, (near, far) = ("tighter", (low, high)) if high + low > 0 else ("looser", (-high, -low))
    if far < NOTHING:
        return "no change"
    if near >= 0.0:
        return f"{_span(near, far)} {way}"
    return HARDLY if max(far, -near) < FELT else EITHER_WAY


def _legend(picture: Picture) -> str:
    words = {_state(picture, phase, stage) for phase in PHASES for stage in STAGES}
    return " ".join([*([QUOTED] if picture.said else []), *([UNKNOWN] if NOT_KNOWN in words else [])])


def _band(picture: Picture, phase: str, stage: str) -> tuple[float, float]:
    return picture.low[phase][stage], picture.high[phase][stage]


def _state(picture: Picture, phase: str, stage: str) -> str:
    """Say one cell: the driver's word with the size, else the band."""
    low, high = _band(picture, phase, stage)
    said = picture.said.get((phase, stage))
    if said is None:
        return band_words(low, high)
    return f"{_word_first(said, picture.value[phase][stage])} +-{(high - low) / 2.0:.1f}"


def _word_first(said: str, value: float) -> str:
    """Say the driver's word and the size; the way is told again only where it is another one."""
    way = about_words(value)
    return f'"{said}" {abs(value):.1f}' if way in {EVEN_WORDS, f"{abs(value):.1f} {said}"} else f'"{said}" {way}'


def _span(near: float, far: float) -> str:
    """Say two sizes, once where they read alike; two digits only in a narrow band."""
    places = 1 if far - near >= NARROW else 2
    low, high = f"{near:.{places}f}", f"{far:.{places}f}"
    if float(low) == 0.0:
        return f"up to {high}"
    return high if low == high else f"{low} to {high}"


def _then(before: Picture, after: Picture, phase: str, stage: str) -> str:
    """Say one cell before and after: "0.8 -> 0.5 loose"; one that is not known stays that."""
    said = before.said.get((phase, stage))
    new = about_words(after.value[phase][stage])
    if said is not None:
        return f"{_word_first(said, before.value[phase][stage])} -> {new}"
    if band_words(*_band(before, phase, stage)) == NOT_KNOWN:
        return NOT_KNOWN
    old = about_words(before.value[phase][stage])
    return f"{old}, stays" if old == new else f"{old} -> {new}"


def where_blocks(ahead: RunAhead) -> list[Block]:
    """Say what the balance is taken from."""
    return [Line(text) for text in where_words(ahead)]


def where_words(ahead: RunAhead) -> tuple[str, ...]:
    """Say what the balance is taken from; nothing where no number of it is shown."""
    picture = ahead.picture
    return () if picture is None or picture.shut else (say_believed(picture),)


def as_said_blocks(picture: Picture | None) -> list[Block]:
    """Say why the numbers are less sure than they look."""
    return [Line(text, mark="caution") for text in doubts_of(picture)]


def doubted_blocks(ahead: RunAhead) -> list[Block]:
    """Say why the numbers of a run are less sure than they look."""
    return as_said_blocks(ahead.picture)


def is_shut(ahead: RunAhead) -> bool:
    """Whether no number of the balance may be shown."""
    return ahead.picture is not None and ahead.picture.shut


def grid_blocks(ahead: RunAhead, what: str, *, short: bool = False) -> list[Block]:
    """The balance by phase and stage; nothing where no plausible car does what is known."""
    if ahead.picture is None:
        return [Line(f"{PERCENT}, {what}:"), balance_table(ahead.forecast.balance, short=short)]
    return [] if is_shut(ahead) else [Line(f"{PERCENT}, {what}:"), believed_table(ahead.picture)]


def balance_data(record: RunAhead | Advice) -> object:
    """Give the balance of a run ahead or of an advice as plain data."""
    if record.picture is not None:
        return picture_data(record.picture)
    return record.forecast.balance if hasattr(record, "forecast") else None


def doubts_data(record: RunAhead | Advice) -> dict[str, Any]:
    """Give why the numbers of a run ahead or of an advice are less sure than they look."""
    return as_said_data(record.picture)


def ends_data(ahead: RunAhead) -> list[dict[str, Any]] | None:
    """Give the balance at each end; null where no number may be shown."""
    return None if is_shut(ahead) else [{"id": end, "balance": grid} for end, grid in ahead.forecast.ends]


def picture_data(picture: Picture | None) -> dict[str, Any] | None:
    """Give what is believed of every cell with its band, and what was said of it; null where it is not known."""
    if picture is None:
        return None
    nothing = dict.fromkeys(("value", "low", "high", "said"))
    return {
        phase: {stage: nothing if picture.shut else _cell(picture, phase, stage) for stage in picture.value[phase]}
        for phase in picture.value
    }


def _cell(picture: Picture, phase: str, stage: str) -> dict[str, Any]:
    numbers = {name: round(getattr(picture, name)[phase][stage], 2) for name in ("value", "low", "high")}
    return {**numbers, "said": picture.said.get((phase, stage))}
