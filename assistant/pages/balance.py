"""How the car stands and goes, in words and in tables: what was said comes first, then no more digits than it carries.

And why the numbers are less sure than they look, which stands with everything that shows numbers of a model.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from assistant.belief.known import FELT
from assistant.belief.model import COLD
from assistant.ground.names import PHASE_WORDS, PHASES, STAGE_SHORT, STAGE_WORDS, STAGES, Grid, when_words
from assistant.pages.amounts import capital
from assistant.pages.blocks import BLANK, Block, Line, Table, lines

if TYPE_CHECKING:
    from assistant.belief.picture import Picture

EVEN = 0.05
"""Percent of grip below which a car is called even."""
NOTHING = 0.005
"""Percent of grip that rounds to nothing at two decimals."""
NARROW = 0.1
"""Percent of grip: a wider band carries one digit only."""
EVEN_WORDS, NO_CHANGE = "even", "no change"
NOT_KNOWN, EITHER_WAY, HARDLY = "not known", "either way", "too little to feel"
PERCENT = "Balance in percent of grip"
QUOTED = "In quotes what the driver said."
ON_COLD = "on cold tires"
COLD_LAPS_SAY = "Computed on cold tires, laps 1 and 2"
UNKNOWN = "Not known: as well tight as loose."
BANDS = "It stands where the driver says; the rest holds for 8 of 10 plausible cars."
NOT_WHERE_SAID = "What is shown holds for 8 of 10 plausible cars; they do not stand everywhere as the driver says."
SAID_BEFORE = "Nobody spoke of the car as it is now; it stands where the words before and the change take it."
NOBODY_SAID = "Nobody said how it handles; what is shown holds for 8 of 10 plausible cars."


def state_words(percent: float) -> str:
    """Say how the car stands, to one digit: "0.4 tight", "0.4 loose", "even"."""
    if abs(percent) < EVEN:
        return EVEN_WORDS
    return f"{abs(percent):.1f} {'tight' if percent > 0 else 'loose'}"


def known_words(value: float, low: float, high: float) -> str:
    """Say how the car stands to one digit where its band leaves it known."""
    return NOT_KNOWN if band_words(low, high) == NOT_KNOWN else state_words(value)


def change_words(percent: float) -> str:
    """Say a change of balance: "0.42 tighter", "0.42 looser", "no change"."""
    if abs(percent) < NOTHING:
        return NO_CHANGE
    return f"{abs(percent):.2f} {'tighter' if percent > 0 else 'looser'}"


def band_words(low: float, high: float) -> str:
    """Say a band: "0.2 to 1.1 tight", "even to 0.9 loose", "not known" where it is wide on both sides."""
    way, (near, far) = ("tight", (low, high)) if high + low > 0 else ("loose", (-high, -low))
    if near <= -FELT:
        return NOT_KNOWN
    if far < FELT:
        return EVEN_WORDS
    return f"even to {far:.1f} {way}" if near < EVEN else f"{_span(near, far)} {way}"


def change_band_words(low: float, high: float) -> str:
    """Say the band of a change: "0.3 to 0.5 tighter"."""
    way, (near, far) = ("tighter", (low, high)) if high + low > 0 else ("looser", (-high, -low))
    if far < NOTHING:
        return NO_CHANGE
    if near >= 0.0:
        return f"{_span(near, far)} {way}"
    return HARDLY if max(far, -near) < FELT else EITHER_WAY


def _span(near: float, far: float) -> str:
    """Say two sizes, once where they read alike; two digits only in a narrow band."""
    places = 1 if far - near >= NARROW else 2
    low, high = f"{near:.{places}f}", f"{far:.{places}f}"
    if float(low) == 0.0:
        return f"up to {high}"
    return high if low == high else f"{low} to {high}"


def change_table(change: Grid, *, short: bool = False) -> Table:
    """Show what a change does to the balance. short: without the cell that changes most."""
    return _grid_table(lambda phase, stage: change_words(change[phase][stage]), "" if short else _most(change))


def believed_table(picture: Picture) -> Table:
    """Show where the car is believed to stand: what was said first, a band where nobody said anything."""
    return _grid_table(lambda phase, stage: _state(picture, phase, stage), _legend(picture))


def believed_then_table(before: Picture, after: Picture) -> Table:
    """Show what is believed before and after a change in each cell."""
    return _grid_table(lambda phase, stage: _then(before, after, phase, stage), _legend(before))


def believed_change_table(change: Picture) -> Table:
    """Show what a change is believed to do."""
    return _grid_table(lambda phase, stage: change_band_words(*_band(change, phase, stage)), "")


def _grid_table(cell: Callable[[str, str], str], said: str) -> Table:
    rows = tuple((PHASE_WORDS[phase], *(cell(phase, stage) for stage in STAGES)) for phase in PHASES)
    return Table(("", *STAGES), rows, said, tuple(_sentence(*row) for row in rows))


def _sentence(where: str, *cells: str) -> str:
    """Say one row: the same words only once when they hold all through the run."""
    if len(set(cells)) == 1:
        return f"{capital(where)}: {cells[0]} {when_words(STAGES)}."
    parts = ", ".join(f"{words} {STAGE_WORDS[stage]}" for stage, words in zip(STAGES, cells, strict=True))
    return f"{capital(where)}: {parts}."


def _most(change: Grid) -> str:
    """Say the largest change and where it is; "all run long" where its whole row reads the same."""
    phase, stage = max(
        ((phase, stage) for phase in change for stage in STAGES), key=lambda cell: abs(change[cell[0]][cell[1]])
    )
    said = change_words(change[phase][stage])
    if said == NO_CHANGE:
        return "No change anywhere."
    alike = {change_words(value) for value in change[phase].values()} == {said}
    return f"Most: {said} {PHASE_WORDS[phase]}, {when_words(STAGES) if alike else STAGE_WORDS[stage]}."


def _legend(picture: Picture) -> str:
    words = {_state(picture, phase, stage) for phase in PHASES for stage in STAGES}
    said = [*([QUOTED] if picture.said else []), *([UNKNOWN] if NOT_KNOWN in words else [])]
    return " ".join([*_cold(picture), *said])


def _cold(picture: Picture) -> list[str]:
    words = [
        f"{_stands(picture.said.get((phase, COLD)), one.value, one.low, one.high)} {PHASE_WORDS[phase]}"
        for phase, one in picture.cold.items()
    ]
    return [f"{COLD_LAPS_SAY}: {', '.join(words)}."] if words else []


def _band(picture: Picture, phase: str, stage: str) -> tuple[float, float]:
    return picture.low[phase][stage], picture.high[phase][stage]


def _state(picture: Picture, phase: str, stage: str) -> str:
    """Say one cell: the driver's word with the size, else the band."""
    return _stands(picture.said.get((phase, stage)), picture.value[phase][stage], *_band(picture, phase, stage))


def state_at_end(there: Picture, phase: str, stage: str) -> str:
    """Say one cell of an end of the track: the driver's word first, else to one digit where it is known."""
    value, said = there.value[phase][stage], there.said.get((phase, stage))
    return known_words(value, *_band(there, phase, stage)) if said is None else _word_first(said, value)


def _stands(said: str | None, value: float, low: float, high: float) -> str:
    """Say how the car stands: the driver's word with the size where there is one, else the band."""
    return band_words(low, high) if said is None else f"{_word_first(said, value)} +-{(high - low) / 2.0:.1f}"


def _word_first(said: str, value: float) -> str:
    """Say the driver's word and the size; the way is told again only where it is another one."""
    way = state_words(value)
    return f'"{said}" {abs(value):.1f}' if way in {EVEN_WORDS, f"{abs(value):.1f} {said}"} else f'"{said}" {way}'


def _then(before: Picture, after: Picture, phase: str, stage: str) -> str:
    """Say one cell before and after: "0.8 -> 0.5 loose"; one that is not known stays that."""
    said = before.said.get((phase, stage))
    new = state_words(after.value[phase][stage])
    if said is not None:
        return f"{_word_first(said, before.value[phase][stage])} -> {new}"
    if not is_known(before, phase, stage):
        return NOT_KNOWN
    old = state_words(before.value[phase][stage])
    return f"{old}, stays" if old == new else f"{old} -> {new}"


def is_known(picture: Picture, phase: str, stage: str) -> bool:
    """Whether it was said how the car stands there, or the band tells which way it leans."""
    return (phase, stage) in picture.said or band_words(*_band(picture, phase, stage)) != NOT_KNOWN


def balance_blocks(picture: Picture, what: str) -> list[Block]:
    """Show the balance by phase and stage; nothing where no plausible car does what is known."""
    return [] if picture.shut else [Line(f"{PERCENT}, {what}:"), believed_table(picture)]


def then_blocks(before: Picture, after: Picture, change: Picture) -> list[Block]:
    """Show the balance before and after, and the change; nothing where no number may be shown."""
    if before.shut:
        return []
    return [
        Line(f"{PERCENT}, before and after:"),
        believed_then_table(before, after),
        Line("The change:"),
        believed_change_table(change),
        BLANK,
    ]


def basis_words(picture: Picture) -> tuple[str, ...]:
    """Say what the balance is taken from; nothing where no number of it is shown."""
    if picture.shut:
        return ()
    if picture.spoken:
        return (NOT_WHERE_SAID if any(_turned(picture)) else BANDS,)
    return (SAID_BEFORE if picture.told else NOBODY_SAID,)


def picture_data(picture: Picture | None) -> dict[str, Any] | None:
    """Give what is believed of every cell with its band, and what was said of it; null where it is not known."""
    if picture is None:
        return None
    cold = {
        phase: {name: round(getattr(one, name), 2) for name in ("value", "low", "high")}
        | {"said": picture.said.get((phase, COLD))}
        for phase, one in picture.cold.items()
    }
    grid = {phase: {stage: _cell(picture, phase, stage) for stage in STAGES} for phase in PHASES}
    return {phase: ({"cold": cold[phase]} if cold else {}) | row for phase, row in grid.items()}


def _cell(picture: Picture, phase: str, stage: str) -> dict[str, Any]:
    if picture.shut:
        return dict.fromkeys(("value", "low", "high", "said"))
    numbers = {name: round(getattr(picture, name)[phase][stage], 2) for name in ("value", "low", "high")}
    return {**numbers, "said": picture.said.get((phase, stage))}


# why the numbers are less sure than they look

NOT_BELIEVED = "No plausible car does what was measured beside what you said: the balance is that of the words alone."
MOST_IN_THE_WAY = 2
SETTLES: Mapping[str, str] = {
    "tread": "tread temperatures of all four corners, right after a run",
    "pressure": "hot pressures, right after a run",
    "wear": "the tread used over a run",
    "": "a run log, lap by lap",
}
"""What to measure, by the kind of gauge that it is; the first that is not there yet is asked for."""
LOOSE, FINE = "loose", "fine"
LIMITS = (
    "Trust differences more than absolute numbers: the driver says where the car is, the model how it moves.",
    "The model knows no traffic, no bumps, curbs or wind, no track that changes, no brake fade and no tired engine.",
    "It drives an even speed in the middle, some brake on entry, some throttle on exit, and has one tire law for all.",
    "Whatever was only guessed in the car file makes every answer less sure.",
    "The tire maker's least pressure and the series rulebook come before anything said here.",
    "If something is bent, loose, leaking or rubbing, stop and mend that first.",
)
"""What the model does not know, and what comes before it."""


def doubts_of(picture: Picture | None) -> tuple[str, ...]:
    """Say plainly why the numbers are less sure than they look; nothing when they go with the words."""
    if picture is None:
        return ()
    if picture.shut:
        return _say_shut(picture)
    return (*((NOT_BELIEVED,) if picture.left_out else ()), *_say_against(picture))


def doubt_blocks(picture: Picture | None) -> list[Line]:
    """Show why the numbers are less sure than they look."""
    return lines(doubts_of(picture), "caution")


def doubts_data(picture: Picture | None) -> dict[str, Any]:
    """Give the check as plain data. holds: whether a plausible car does all that is known, None where nobody asked."""
    return {"holds": None if picture is None else not picture.shut, "doubts": list(doubts_of(picture))}


NEVER_DRIVEN = (
    "No plausible car like this one drives this run to its end: where its balance stands is not known. The forecast "
    "says how far it goes: state a run no longer than that."
)


def _say_shut(picture: Picture) -> tuple[str, ...]:
    """Say that no plausible car does all that is known, what stands in the way, and what to measure."""
    if not picture.against:
        return (NEVER_DRIVEN,)
    named = "; ".join(dict.fromkeys(map(_say_row, picture.against[:MOST_IN_THE_WAY])))
    measure = next(say for kind, say in SETTLES.items() if kind not in picture.measured)
    return (
        f"No plausible car does all that is known. Most in the way: {named}. So no number is shown for the balance.",
        f"What would settle it: {measure}.",
    )


def _say_row(row: str) -> str:
    """Say what was known, by the id of its row: "your word for coming off", "tread RF at 40"."""
    phase, *rest = row.split()
    if phase not in PHASE_WORDS or not rest or rest[0] not in {*STAGES, COLD}:
        return row
    silent = dict.fromkeys(("implied", "unsaid"), "that nothing is wrong")
    said = {"change": "what the change did", **silent}.get(rest[-1], "your word for")
    return f"{said} {PHASE_WORDS[phase]}"


def _say_against(picture: Picture) -> tuple[str, ...]:
    """Say where the balance goes another way than the driver says; nothing where it does not."""
    found = list(_turned(picture))
    if not found:
        return ()
    told = "; ".join(f"{said} {where}" for said, _, where in found)
    numbers = "; ".join(f"{state_words(value)} {where}" for _, value, where in found)
    return (f"You said {told}; the numbers have it {numbers}: the sizes are less sure.",)


def _turned(picture: Picture) -> Iterator[tuple[str, float, str]]:
    """Find the cells that stand on the other side than was said of them: the word, where they stand, and where."""
    for end, there in {"": picture, **picture.ends}.items():
        for cell, way in there.said.items():
            value = _value(there, cell)
            if way != FINE and (value > 0.0 if way == LOOSE else value < 0.0):
                yield way, value, f"{_where(cell)}{f', {end}' if end else ''}"


def _value(picture: Picture, cell: tuple[str, str]) -> float:
    phase, stage = cell
    return picture.cold[phase].value if stage == COLD else picture.value[phase][stage]


def _where(cell: tuple[str, str]) -> str:
    return f"{PHASE_WORDS[cell[0]]} {STAGE_SHORT.get(cell[1], ON_COLD)}"
