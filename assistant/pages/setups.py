"""The setup in the order a person walks round the car; two of them side by side; what a change does over the run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from typing import TYPE_CHECKING, Any

from assistant.advice.prices import LEAST_PACE
from assistant.advice.results import Remedy
from assistant.belief.driven import Changes, moved_from
from assistant.belief.look_ahead import RunAhead, change_of
from assistant.belief.picture import Picture, read_after
from assistant.belief.whole_run import Forecast, whole_laps
from assistant.car.case import Case, Rulebook, Setup, kind_of, places_of
from assistant.car.keys import NOT_COMPUTED, ROW_OF, ends_of, lever_name
from assistant.car.moves import differences, with_value
from assistant.ground.names import CORNERS, PHASE_WORDS, STAGE_WORDS, count_of
from assistant.ground.units import System, show
from assistant.pages import sayings
from assistant.pages.advice import NOT_FELT
from assistant.pages.amounts import FIXED, NOT_HERE, Levers, capital, cars_words, cure_words, lever_value, say_tires
from assistant.pages.balance import (
    NOT_KNOWN,
    NOTHING,
    basis_words,
    change_words,
    doubt_blocks,
    largest,
    picture_data,
    then_blocks,
)
from assistant.pages.blocks import BLANK, Block, Group, Line, PaperBlock, Table, lines
from assistant.pages.data import Plain, Way, plain
from assistant.pages.run_words import gone_by, say_changes, say_end

if TYPE_CHECKING:
    from assistant.belief.cures import Verdict
    from assistant.belief.outcome import RunAfter


def setup_screen(setup: Setup, levers: Levers, rulebook: Rulebook, system: System) -> list[Block]:
    """Show one paragraph for each place; what was only guessed, or is fixed by the rules, is said."""
    blocks: list[Block] = [Line(f"Setup {setup.name}.")]
    for group in list_setup(setup, system):
        said = [f"{value} {note}".rstrip() for value, note in group.values]
        if len(said) > 1 and all(note for _, note in group.values):
            said = [*(value for value, _ in group.values), "all guessed"]
        blocks.append(Line("; ".join(said) + ".", lead=f"{group.title}:"))
    for why in (FIXED, NOT_HERE):
        barred = [lever for lever in setup.values if _barred(lever, rulebook) == why]
        named = ", ".join(levers[lever].title if lever in levers else lever for lever in barred)
        blocks += lines([f"{capital(why)}: {named}." if named else ""])
    return blocks


def _barred(lever: str, rulebook: Rulebook) -> str:
    """Say why a lever is not to be moved; "" where it may be: what only takes too long tonight is another thing."""
    if any(one.value is None and one.covers(lever) and not one.tonight for one in rulebook.not_here):
        return NOT_HERE
    return "" if lever in rulebook.limits else FIXED


def list_setup(
    setup: Setup, system: System, offers: Sequence[Remedy] = (), rulebook: Rulebook | None = None
) -> list[Group]:
    """List every value by corner of the car: whether it is guessed, which offer moves it and where to.

    rulebook: says what is not to be moved; left out, nothing is said of that.
    """
    moved: dict[str, list[str]] = {lever: [] for lever in setup.values}
    for number, offer in enumerate(offers, 1):
        for lever, change in offer.changes.items():
            for one in set(ends_of(lever)) & setup.values.keys():  # both ends of the track bar go the way the pair goes
                there = lever_value(one, setup.values[one] + change, system, setup=setup)
                moved[one].append(f"number {number} makes it {there}")

    def value(lever: str) -> tuple[str, str]:
        notes = [
            *moved[lever],
            "guessed" if lever in setup.guessed else "",
            _barred(lever, rulebook) if rulebook else "",
        ]
        name = setup.own[lever].name if lever in setup.own else ROW_OF[lever].word
        said = lever_value(lever, setup.values[lever], system, setup=setup)
        return f"{name} {said}", ", ".join(filter(None, notes))

    return [Group(place, tuple(map(value, ids))) for place, ids in places_of(setup).items() if ids]


@dataclass(frozen=True)
class Other:
    """The setup compared with. about: what must be said of it, such as that it is another car's."""

    name: str
    setup: Setup
    about: tuple[str, ...] = ()


def compare(
    case: Case, other: Other, ahead: RunAhead, after: RunAhead | None, levers: Levers, system: System
) -> list[PaperBlock]:
    """Say what differs, what each difference does, and what all of them do together.

    ahead: the run with this setup; after: that with every value of the other one, None where they are the same.
    """
    if after is None:
        return [*lines((*other.about, "The two setups are the same."))]
    found, here = differences(case.setup, other.setup), case.setup.name
    alone = {lever: moved_from(case.setup, with_value(case.setup, lever, there)) for lever, (_, there) in found.items()}
    if ahead.belief is not None and not ahead.belief.gate_is_shut:
        ahead.belief.move_all([*alone.values(), moved_from(case.setup, after.case.setup)])
    rows = tuple(
        (
            levers[lever].title,
            *(lever_value(lever, one, system, setup=case.setup) for one in pair),
            _does(lever, ahead, alone[lever]),
        )
        for lever, pair in found.items()
    )
    return [
        *lines(other.about),
        Table(("what", here, other.name, "each alone"), rows, caption="What differs"),
        Line(f"All of it together, going over from {here} to {other.name}:"),
        *(block for block in try_screen(ahead, after, change_of(after), system) if block != BLANK),
    ]


def setup_of(case: Case, other: Other) -> Setup | None:
    """Give a case's setup with every value of another one; None where they are the same."""
    found = {lever: there for lever, (_, there) in differences(case.setup, other.setup).items()}
    return reduce(lambda setup, lever: with_value(setup, lever, found[lever]), found, case.setup) if found else None


def _does(lever: str, ahead: RunAhead, change: Changes) -> str:
    """Say the two largest changes of balance in words: "0.42 looser coming off late in the run"."""
    if lever in NOT_COMPUTED:
        return "felt in the wheel; not computed"
    if ahead.belief is None or ahead.picture.shut:
        return NOT_KNOWN
    cells = largest(read_after(ahead.belief, change)[1].value)[:2]
    said = [f"{change_words(value)} {PHASE_WORDS[phase]} {STAGE_WORDS[stage]}" for value, phase, stage in cells]
    return ", ".join(text for text, cell in zip(said, cells, strict=True) if abs(cell[0]) >= NOTHING) or NOT_FELT


# what a change does over the run

WRONG_WAY = 0.4
"""Chance of the right direction below which a change is said to be the wrong way. Own judgment, no source."""


def try_screen(before: RunAhead, after: RunAhead, change: Picture, system: System) -> list[Line | Table]:
    """Show what a change does over the run: balance, tires, pace, fuel and what ends it. change: of the balance."""
    old, new = before.forecast, after.forecast
    laps = [whole_laps(run.fuel_laps) for run in (old, new)]
    return [
        *doubt_blocks(before.picture),
        *then_blocks(before.picture, after.picture, change),
        tires_then(old, new, system),
        Line(f"Lap times: {pace_words(old, new)}."),
        Line(f"Fuel: {laps[0]} laps{', as before' if laps[0] == laps[1] else f' before, {laps[1]} after'}."),
        *lines((*say_changes(before, after, system), *say_end(after), *basis_words(before.picture))),
    ]


def verdict_words(verdict: Verdict, run: RunAfter | None) -> list[str]:
    """Say what a change would do to the complaint, how sure, what it harms most, and its price in tire life."""
    right = f"goes the right way in {cars_words(verdict.direction)}"
    said = [f"{capital(cure_words(verdict.removes))}; {right}."]
    if verdict.direction < WRONG_WAY:
        said = [f"It {right} only: it makes the complaint worse."]
    if verdict.harm is not None:
        (_, phase, stage), chance = verdict.harm
        said.append(f"Worst of it: worse {PHASE_WORDS[phase]}, {STAGE_WORDS[stage]}, in {cars_words(chance)}.")
    return [*said, say_tires(run)] if run is not None else said


def tires_then(old: Forecast, new: Forecast, system: System, caption: str = "Tires, before and after") -> Table:
    """Show what is left of every tire before and after, and its hot pressure at the end."""

    def row(corner: str) -> tuple[str, ...]:
        used, then_used = (f"{100 * one.wear_end[corner]:.0f} %" for one in (old, new))
        laps, then_laps = (gone_by(one.tire_laps[corner]) for one in (old, new))
        was, now = (show(one.hot_pressure[corner]["worn"], "pressure", system=system) for one in (old, new))
        return corner, _was_then(used, then_used), _was_then(laps, then_laps), _was_then(was, now)

    return Table(("", "tread used", "gone by", "hot, end"), tuple(map(row, CORNERS)), caption=caption)


def _was_then(old: str, new: str) -> str:
    return f"{old}, stays" if old == new else f"{old} -> {new}"


def pace_words(old: Forecast, new: Forecast) -> str:
    """Say what happens to lap times."""
    parts = {"first five laps": "first", "mean": "average", "last five": "last"}
    changes = {words: getattr(new.pace, part) - getattr(old.pace, part) for words, part in parts.items()}
    return ", ".join(f"{words} {_seconds(change)}" for words, change in changes.items())


def _seconds(change: float) -> str:
    if abs(change) < LEAST_PACE:
        return "no change"
    return f"{abs(change):.2f} s {'slower' if change > 0 else 'quicker'}"


_GEAR = ("gear", "final_drive", "overall")
"""What names an entry of `gears`; such values are no change."""
_BAND = "band"
"""The band of a change is not the change of the band."""


def try_data(before: RunAhead, after: RunAhead, change: Picture, way: Way) -> Plain:
    """Give before, after and change, each with the keys of a forecast; change holds numbers only."""
    one, other = plain(before, way), plain(after, way)
    said = one.pop("as_said")
    other.pop("as_said")  # both are judged from the car as it is
    changed = change_between(one, other) | {"balance": picture_data(change)}
    return {"before": one, "after": other, "change": changed, "as_said": said}


def change_between(before: Any, after: Any) -> Any:
    """Subtract number by number; names of ends and gears stay, other words become None, lists are matched by name."""
    if isinstance(before, dict):
        before = {key: None if key == _BAND else value for key, value in before.items()}
        named = {"id": before["id"]} if "id" in before else {}
        if "final_drive" in before:
            named = {key: after[key] for key in _GEAR}
        return named | {key: change_between(before[key], after[key]) for key in before if key not in named}
    if isinstance(before, list):
        return [change_between(old, new) for new in after for old in before if _entry_name(old) == _entry_name(new)]
    if isinstance(before, int | float) and isinstance(after, int | float):
        return after - before
    return None


def _entry_name(entry: Plain) -> tuple[object, ...]:
    return (entry.get("id"), entry.get("gear"), entry.get("final_drive"))


def say_otherwise(before: Mapping[str, float], now: Setup, system: System) -> list[str]:
    """Say which values of a setup are not what they were: "rear stagger 1 7/8 in, now 2 in"."""
    old = replace(now, values={**now.values, **{name: value for name, value in before.items() if name in now.values}})
    return [
        f"{now.own[lever].name if lever in now.own else lever_name(lever)} "
        + ", now ".join(show(value, kind_of(lever, now), system=system, fraction=True) for value in pair)
        for lever, pair in differences(old, now).items()
    ]


def say_in_use(case: Case) -> str:
    """Say which case is on the bench, and which measured corrections are in it."""
    return sayings.IN_USE.format(case.name, case.car.name, case.track.name, case.setup.name, say_fit(case))


def say_fit(case: Case) -> str:
    """Say what a run log corrected, if one did."""
    fit = case.fit
    if fit is None:
        return sayings.NO_FIT
    return sayings.FITTED.format(fit.log, count_of(len(fit.values), "number"), fit.name)
