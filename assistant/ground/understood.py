"""What a talk is made of: the complaint as it was understood, the causes found, the questions left; frozen values."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

USUAL_SEVERITY = 3.0
"""How bad a complaint is taken to be where nobody said it, unless the pack states another."""
MILDEST, WORST = 1.0, 5.0
COLD_TIRES = "cold tires"
"""The moment after a restart, and before the tires are warm."""


@dataclass(frozen=True)
class Cell:
    """One marked cell of a complaint. end: id of the end of the track, None for both. severity 1-5.

    where_given, when_given: whether the words said it, or left it open and mean the whole corner or run for now.
    """

    phase: str
    stage: str
    balance: str  # loose | tight | fine
    severity: float
    severity_given: bool
    end: str | None = None
    where_given: bool = True
    when_given: bool = True


@dataclass(frozen=True)
class Complaint:
    """What was understood of the driver's words.

    other: names of symptoms without a balance. moments: the shorter moments that were said ("turn-in"). cut: how many
    words were read where there are more, 0 where all were; the rest was only looked through for signs of danger.
    clashing: words that say opposite things of one place. told_first: the balance complained of first. changes: what
    was done to the car. question: what was asked instead of told. answers: question of the pack and choice, as the
    words answer it. corners: whose tire gives up, where the words of balance name one ("RF").
    only_near_others: it is so behind or beside other cars, and not alone.
    """

    text: str
    cells: tuple[Cell, ...] = ()
    other: tuple[str, ...] = ()
    not_understood: tuple[str, ...] = ()
    moments: tuple[str, ...] = ()
    cut: int = 0
    clashing: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()
    question: str = ""
    answers: tuple[tuple[str, str], ...] = ()
    told_first: str = ""
    corners: tuple[str, ...] = ()
    only_near_others: bool = False

    @property
    def cells_alone(self) -> tuple[Cell, ...]:
        """What the car does with no other near it: what it does only near others is fine there."""
        fine = (replace(cell, balance="fine", severity_given=False) for cell in self.cells)
        return tuple(fine) if self.only_near_others else self.cells

    @property
    def grows(self) -> bool:
        """Whether it is said to be there from the start and to get worse."""
        fresh, worn = ({one.phase: one for one in self.cells if one.stage == stage} for stage in ("fresh", "worn"))
        both = [(fresh[phase], worn[phase]) for phase in fresh.keys() & worn.keys()]
        return any(
            (one.balance, one.severity_given) == (late.balance, False) and one.severity < late.severity
            for one, late in both
        )

    def taken_as(self, unsaid: float) -> Complaint:
        """The same with this severity wherever the driver gave none; what gets worse is milder before, worse behind."""
        cells = (
            cell
            if cell.severity_given or cell.balance == "fine"
            else replace(cell, severity=min(WORST, max(MILDEST, unsaid + cell.severity - USUAL_SEVERITY)))
            for cell in self.cells
        )
        return replace(self, cells=tuple(cells))


@dataclass(frozen=True)
class Carried:
    """What is left of a complaint after a change that was felt: the words it was felt in, and the cells."""

    text: str
    cells: tuple[Cell, ...]


UNWELL, FUMES, UNDER_A_CAR = "a driver who is not well", "fumes or fire", "a car that is not safe to be under"
BROKEN_PART, SMOKE, LOSES_AIR = "a part seen broken or loose", "fluid or smoke", "a tire losing air"
UNSEATED = "a tire that will not seat on its rim"
"""Signs of danger of the packs that are treated by themselves."""
AT_ONCE = frozenset({UNWELL, FUMES, UNDER_A_CAR, UNSEATED})
"""Signs that stop the talk at once, whatever was asked and whatever a look at the car has found."""


@dataclass(frozen=True)
class StopReason:
    """Why the car must be inspected before any adjustment.

    signs: what was said or found, in the pack's words; none when nobody said which. question: id of the question they
    answer, "" for none. chance: of a cause that was found, None for what was said.
    """

    signs: tuple[str, ...]
    question: str = ""
    chance: float | None = None


@dataclass(frozen=True)
class Sign:
    """One line of a cause's sum: weight in log-odds, + speaks for it.

    text: the pack's own words of what holds; by kind something else: "described": the symptom the driver described
    whole, "other half": the balance the cause does not explain, "answer": what was answered to the question `asked`,
    "no sign": the same where it speaks against by being no sign, "not against": for, by being no sign against,
    "told": what was said of a change,
    "computed": what plausible cars say; "made it" and "did not make it": what they say of the change of these words.
    """

    text: str
    weight: float
    kind: str = ""
    asked: str = ""


@dataclass(frozen=True)
class CauseFound:
    """A cause with its chance (0-1), the chance word, and the signs for and against, strongest first."""

    id: str
    title: str
    chance: float
    word: str
    signs_for: tuple[Sign, ...] = ()
    signs_against: tuple[Sign, ...] = ()
    instead: str = ""
    prior: float = 0.0

    def quoting(self, said: str, asks: Collection[str]) -> CauseFound:
        """Return it with what was said in place of the answers to some questions, which nobody was asked."""
        for_it, against = (
            tuple(replace(one, text=said, kind="told", asked="") if one.asked in asks else one for one in signs)
            for signs in (self.signs_for, self.signs_against)
        )
        return replace(self, signs_for=for_it, signs_against=against)
