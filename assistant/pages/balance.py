"""How the car stands and goes, in words and in tables: what was said comes first, then no more digits than it carries.

And why the numbers are less sure than they look, which stands with everything that shows numbers of a model.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from assistant.belief.known import FELT, SOME_TIME
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
QUOTED_OPEN = "In quotes what the driver said; where that was left open, it is taken for the whole corner."
WHEN: Mapping[str, str] = {**STAGE_SHORT, COLD: "on cold tires"}
SOME_TIME_SAYS = "Said without a time in the run, so taken on its mean"
COLD_LAPS_SAY = "Computed on cold tires, laps 1 and 2"
UNKNOWN = "Not known: at that time tight or loose."
BANDS = "It stands where the driver says; the rest holds for 8 of 10 plausible cars."
NOT_WHERE_SAID = "What is shown holds for 8 of 10 plausible cars; they do not stand everywhere as the driver says."
SAID_BEFORE = "Nobody spoke of the car as it is now; it stands where the words before and the change take it."
MEANS = "The table shows the middle of the plausible cars; a share cured is the mean over all: the two need not agree."
NOBODY_SAID = "Nothing that was said tells where it stands; what is shown holds for 8 of 10 plausible cars."


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


@dataclass(frozen=True)
class Standing:
    """How the car is believed to stand in one cell, its band, and the driver's word for it where there is one."""

    value: float
    low: float
    high: float
    said: str | None = None

    @property
    def is_known(self) -> bool:
        """Whether it was said, or the band tells which way it leans."""
        return self.said is not None or band_words(self.low, self.high) != NOT_KNOWN

    @property
    def words(self) -> str:
        """The driver's word with the size where there is one, else the band; of what is fine, how near to even."""
        if self.said is None:
            return band_words(self.low, self.high)
        if self.said == "fine":
            return f'"fine" +-{max(abs(self.low), abs(self.high)):.1f}'
        return f"{self.word_first} +-{(self.high - self.low) / 2.0:.1f}"

    @property
    def word_first(self) -> str:
        """The driver's word and the size; the way is told again only where it is another one."""
        way, size = state_words(self.value), f"{abs(self.value):.1f}"
        return f'"{self.said}" {size}' if way in {EVEN_WORDS, f"{size} {self.said}"} else f'"{self.said}" {way}'

    @property
    def rounded(self) -> dict[str, Any]:
        """The same as plain data."""
        return {name: round(getattr(self, name), 2) for name in ("value", "low", "high")} | {"said": self.said}


def stands(picture: Picture, phase: str, stage: str) -> Standing:
    """Read one cell of what is believed, by phase and stage, or cold, or as it is on the mean of the run."""
    said = picture.said.get((phase, stage))
    if (apart := {COLD: picture.cold, SOME_TIME: picture.some_time}.get(stage)) is not None:
        return Standing(apart[phase].value, apart[phase].low, apart[phase].high, said)
    return Standing(picture.value[phase][stage], picture.low[phase][stage], picture.high[phase][stage], said)


def state_at_end(there: Picture, phase: str, stage: str) -> str:
    """Say one cell of an end of the track: the driver's word first, else to one digit where it is known.

    What he said without a time is his word for every stage that goes so.
    """
    cell = stands(there, phase, stage)
    said = there.said.get((phase, SOME_TIME))
    cell = replace(cell, said=said) if said and state_words(cell.value).endswith(said) else cell
    return known_words(cell.value, cell.low, cell.high) if cell.said is None else cell.word_first


def change_table(change: Grid, caption: str = "", *, short: bool = False) -> Table:
    """Show what a change does to the balance. short: without the cell that changes most."""
    says = "" if short else _most(change)
    return _grid_table(lambda phase, stage: change_words(change[phase][stage]), says, caption)


def change_bands_table(bands: Mapping[str, Mapping[str, tuple[float, float]]], caption: str, says: str = "") -> Table:
    """Show the band of what a change does to the balance."""
    return _grid_table(lambda phase, stage: change_band_words(*bands[phase][stage]), says, caption)


def believed_table(picture: Picture, caption: str = "") -> Table:
    """Show where the car is believed to stand: what was said first, a band where nobody said anything."""
    return _grid_table(lambda phase, stage: stands(picture, phase, stage).words, _legend(picture), caption)


def believed_then_table(before: Picture, after: Picture, caption: str = "") -> Table:
    """Show what is believed before and after a change in each cell: "0.8 -> 0.5 loose"."""

    def then(phase: str, stage: str) -> str:
        was, new = stands(before, phase, stage), state_words(after.value[phase][stage])
        if not was.is_known:
            return NOT_KNOWN
        old = state_words(was.value) if was.said is None else was.word_first
        return f"{old}, stays" if old == new else f"{old} -> {new}"

    return _grid_table(then, _legend(before), caption)


def _grid_table(cell: Callable[[str, str], str], said: str, caption: str) -> Table:
    rows = tuple((PHASE_WORDS[phase], *(cell(phase, stage) for stage in STAGES)) for phase in PHASES)
    return Table(("", *STAGES), rows, said, tuple(_sentence(*row) for row in rows), caption)


def _sentence(where: str, *cells: str) -> str:
    """Say one row: the same words only once when they hold all through the run."""
    if len(set(cells)) == 1:
        return f"{capital(where)}: {cells[0]} {when_words(STAGES)}."
    parts = ", ".join(f"{words} {STAGE_WORDS[stage]}" for stage, words in zip(STAGES, cells, strict=True))
    return f"{capital(where)}: {parts}."


def largest(change: Grid) -> list[tuple[float, str, str]]:
    """List the cells of a change with phase and stage, the largest first."""
    cells = [(value, phase, stage) for phase, row in change.items() for stage, value in row.items()]
    return sorted(cells, key=lambda cell: -abs(cell[0]))


def _most(change: Grid) -> str:
    """Say the largest change and where it is; "all run long" where its whole row reads the same."""
    value, phase, stage = largest(change)[0]
    said = change_words(value)
    if said == NO_CHANGE:
        return "No change anywhere."
    alike = {change_words(value) for value in change[phase].values()} == {said}
    return f"Most: {said} {PHASE_WORDS[phase]}, {when_words(STAGES) if alike else STAGE_WORDS[stage]}."


def _legend(picture: Picture) -> str:
    some, cold = (
        [f"{stands(picture, phase, when).words} {PHASE_WORDS[phase]}" for phase in phases]
        for when, phases in ((SOME_TIME, picture.some_time), (COLD, picture.cold))
    )
    unknown = not all(stands(picture, phase, stage).is_known for phase in PHASES for stage in STAGES)
    apart = {f"{SOME_TIME_SAYS}: {', '.join(some)}.": some, f"{COLD_LAPS_SAY}: {', '.join(cold)}.": cold}
    said = {**apart, QUOTED_OPEN if picture.left_open else QUOTED: picture.said, UNKNOWN: unknown}
    return " ".join(text for text, holds in said.items() if holds)


def balance_blocks(picture: Picture, what: str) -> list[Block]:
    """Show the balance by phase and stage; nothing where no plausible car does what is known."""
    return [] if picture.shut else [believed_table(picture, f"{PERCENT}, {what}")]


def then_blocks(before: Picture, after: Picture, change: Picture) -> list[Line | Table]:
    """Show the balance before and after, and the change; nothing where no number may be shown."""
    if before.shut:
        return []

    bands = {
        phase: {stage: (change.low[phase][stage], change.high[phase][stage]) for stage in STAGES} for phase in PHASES
    }
    now = believed_then_table(before, after, f"{PERCENT}, before and after")
    return [now, change_bands_table(bands, "The change", MEANS), BLANK]


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
    nothing = dict.fromkeys(("value", "low", "high", "said"))
    return {
        phase: {when: stands(picture, phase, when).rounded for when in _apart(picture, phase)}
        | {stage: nothing if picture.shut else stands(picture, phase, stage).rounded for stage in STAGES}
        for phase in PHASES
    }


def _apart(picture: Picture, phase: str) -> list[str]:
    """List what is told of a phase besides its stages: cold, or the mean of the run."""
    return [when for when, there in ((SOME_TIME, picture.some_time), (COLD, picture.cold)) if phase in there]


# why the numbers are less sure than they look

NOT_BELIEVED = (
    "What was read does not go with what you said, no plausible car does both: what follows goes by your words alone. "
    "Look at the gauge and its unit, and read it once more."
)
MOST_IN_THE_WAY = 2
COMPUTED_WORSE = "You said {}; computed it is worse {}: the sizes are less sure."
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
    found = list(_turned(picture))
    told = "; ".join(f"{said} {where}" for said, _, where in found)
    numbers = "; ".join(f"{state_words(value)} {where}" for _, value, where in found)
    turned = f"You said {told}; the numbers have it {numbers}: the sizes are less sure."
    worse = [COMPUTED_WORSE.format(*one) for one in _worse(picture)]
    return (*([NOT_BELIEVED] if picture.left_out else []), *([turned] if found else []), *worse)


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
    phase, kind = row.split(maxsplit=1)[0], row.rsplit(maxsplit=1)[-1]
    if phase not in PHASE_WORDS:
        return row
    silent = dict.fromkeys(("implied", "unsaid"), "that nothing is wrong")
    said = {"change": "what the change did", **silent}.get(kind, "your word for")
    return f"{said} {PHASE_WORDS[phase]}"


def _worse(picture: Picture) -> Iterator[tuple[str, str]]:
    """Find where a complaint of one time in the run is computed to be worse at another: what was said, and where."""
    for phase in PHASES:
        for way, sign in (("tight", 1.0), (LOOSE, -1.0)):
            sizes = {stage: sign * picture.value[phase][stage] for stage in STAGES}
            told = [stage for stage in STAGES if picture.said.get((phase, stage)) == way]
            other = max((one for one in STAGES if (phase, one) not in picture.said), key=sizes.__getitem__, default="")
            if told and other and sizes[other] > max(sizes[one] for one in told) + FELT:
                size = state_words(picture.value[phase][other])
                yield f"{way} {PHASE_WORDS[phase]} {when_words(told)}", f"{WHEN[other]}, {size}"


def _turned(picture: Picture) -> Iterator[tuple[str, float, str]]:
    """Find the cells that stand on the other side than was said of them: the word, where they stand, and where."""
    for end, there in {"": picture, **picture.ends}.items():
        for (phase, stage), way in there.said.items():
            value = stands(there, phase, stage).value
            if way != FINE and (value > 0.0 if way == LOOSE else value < 0.0):
                where = f"{PHASE_WORDS[phase]} {WHEN.get(stage, '')}".rstrip()
                yield way, value, f"{where}, {end}" if end else where
