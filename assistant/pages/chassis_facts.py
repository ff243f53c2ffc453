"""Facts about weight, springs, bars and the rear axle of the settled car, and how facts write its numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import degrees, radians, tan

from assistant.belief.corners import MIDDLE, SettledCar, bar_arm_rate, jack_turn, roll_center, spring_force
from assistant.car.car import bite_of
from assistant.ground.names import CORNER_KEYS, SETTLED
from assistant.ground.quantities import GRAVITY
from assistant.ground.units import System, show
from assistant.physics.formulas import cross_load, rate_in_series, wheel_rate
from assistant.physics.suspension import RISE_LF, track_bar_line, wheel_rates


@dataclass(frozen=True)
class CarNow(SettledCar):
    """The settled car, and how facts write its numbers. system: the units they are written in."""

    system: System = "trade"

    def say(self, value: float, kind: str, *, places: int | None = None, signed: bool = False) -> str:
        """Write a value with its unit."""
        return show(value, kind, system=self.system, places=places, signed=signed)

    def pair(self, lever: str, change: float) -> tuple[float, float]:
        """A lever as it stands, and with the change [SI]."""
        return self.number(lever), self.number(lever) + change

    def pounds(self, force: float, *, signed: bool = False) -> str:
        """Write a load [N] as scales read it."""
        return show(force / GRAVITY, "mass", system=self.system, signed=signed)


LEAST_SHOWN = 1e-9
LEAST_CROSS = 5e-5
"""Change of cross weight that would not show at two decimals of a percent."""


def of_cross_weight(now: CarNow, _: str, change: float) -> Iterator[str]:
    """Pounds on the corners, bite, turns of the left rear jack bolt, and what the drive adds on exit."""
    weight = now.number("mass") * GRAVITY
    moved, bite = change * weight / 2.0, bite_of(now.on_scales)
    if abs(change) > LEAST_SHOWN:
        turn = jack_turn(now)
        lead = now.say(now.number("jack_lead"), "short_length", places=3 if now.system == "trade" else 1)
        guessed = " (guessed)" if "jack_lead" in now.model.case.car.guessed else ""
        yield (
            f"That is {now.pounds(abs(moved))} {'more' if change > 0 else 'less'} on LR and RF each; "
            f"LR less RR (bite): {now.pounds(bite)}, then {now.pounds(bite + 2.0 * moved)}."
        )
        yield (
            f"The LR jack bolt alone takes {say_turns(now, change)} for it, at {lead} a turn{guessed}; "
            f"a turn moves {now.pounds(turn)} on each corner, {now.pounds(2.0 * turn)} on the diagonal."
        )
    yield from of_drive_torque(now)


def say_turns(now: CarNow, change: float) -> str:
    """Say how many turns of the left rear jack bolt make a change of cross weight."""
    turns = change * now.number("mass") * GRAVITY / 2.0 / jack_turn(now)
    return f"about {abs(turns):.1f} turns {'in' if turns > 0 else 'out'}"


def of_drive_torque(now: CarNow) -> Iterator[str]:
    """Pounds the drive's torque adds to LR and RF on exit, on tires that give way."""
    force = now.drive
    if force <= 0.0:
        return
    roll, radius = now.roll(), float(now.rest().radius[2:, SETTLED, 0].mean())
    rigid = cross_load(force, radius, now.number("final_drive"), now.number("track_rear"), roll.front_share)
    moved = float(rigid) * roll.rear_tires / (roll.rear_tires + roll.rear_springs)
    drive = now.say(force, "force")
    yield f"Coming off, the drive of {drive} adds {now.pounds(moved)} to LR and RF by its torque alone."


def of_mass(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """Where the center of gravity is, and where the change puts it."""
    before, after = now.rest().cg, now.rest(now.moved(change, lever)).cg
    axis, names = {
        "nose_weight": (0, ("forward", "back")),
        "left_weight": (1, ("left", "right")),
        "ballast_rise": (2, ("up", "down")),
    }[lever]
    y = float(before[1][SETTLED, 0])
    ahead, beside, up = (
        now.say(abs(float(place[SETTLED, 0])), "short_length", places=1) for place in (before[0], before[1], before[2])
    )
    yield (
        f"The center of gravity lies {ahead} ahead of the rear axle, {beside} {'left' if y >= 0 else 'right'} of the "
        f"centerline and {up} up."
    )
    moved = float((after[axis] - before[axis])[SETTLED, 0])
    if abs(moved) > LEAST_SHOWN:
        yield f"The change moves it {now.say(abs(moved), 'short_length')} {names[moved < 0]}."


def of_ride_height(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """How far the center of gravity and a roll center go with the frame."""
    moved = now.moved(change, lever)
    up = float((now.rest(moved).cg[2] - now.rest().cg[2])[SETTLED, 0])
    center = roll_center(now, change) - roll_center(now) if lever == "ride_height_rear" else change
    end = "rear" if lever == "ride_height_rear" else "front"
    yield (
        f"The center of gravity goes {now.say(up, 'short_length', signed=True)} with it, the {end} roll center "
        f"{now.say(center, 'short_length', signed=True)}."
    )


def of_spring(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """Rate at the wheel, what the spring carries and how far it is pressed, where its corner goes."""
    corner = CORNER_KEYS.index(lever[-2:])
    old, new = now.pair(lever, change)
    ratio = now.number("spring_ratio_front") if corner < 2 else now.number("spring_base") / now.number("track_rear")
    tire = float(now.rest().tire_rate[corner, SETTLED, 0])
    wheel = [float(wheel_rate(rate, ratio)) for rate in (old, new)]
    soft = [float(rate_in_series(rate, tire)) for rate in wheel]
    where = "At the wheel" if corner < 2 else "At the wheel, in roll,"
    carried = spring_force(now, corner)
    pressed = [carried / rate for rate in (old, new)]
    seat = pressed[1] - pressed[0]
    yield f"{where} it is {then(now, wheel, 'spring_rate')}, on its tire {then(now, soft, 'spring_rate')}."
    yield f"Standing it carries {now.pounds(carried)} and is {now.say(pressed[0], 'short_length')} shorter than free."
    if abs(change) > LEAST_SHOWN:
        way = "in" if seat > 0 else "back"
        yield (
            f"The other spring carries that at {now.say(pressed[1], 'short_length')}: with the scales as they are "
            f"its seat goes {way} by {now.say(abs(seat), 'short_length')}."
        )
    rise = now.model.run.limit.point.outputs[RISE_LF + corner]
    entry, middle, leaving = (now.say(now.mean(rise, at), "wheel_travel", signed=True) for at in range(rise.shape[1]))
    yield (
        f"Settled, this corner is {entry} from where it stands on the scales getting in, {middle} in the middle and "
        f"{leaving} coming off; bump is +."
    )


def of_front_bar(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """Rate of the bar at its arm, per degree of roll, and the front share of roll stiffness."""
    pair = (now.numbers, now.moved(change, lever))
    arm = [bar_arm_rate(one) for one in pair]
    bar = [wheel_rates(one)[4].item() * now.number("track_front") ** 2 * radians(1.0) for one in pair]
    share = [now.roll(one).front_share for one in pair]
    yield (
        f"At the end of its arm it is {then(now, arm, 'spring_rate')}; "
        f"a degree of roll takes {then(now, bar, 'torque')}."
    )
    yield f"The front has {then(now, share, 'share')} of the roll stiffness, springs and bar on their tires."


def of_bar_preload(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """Force of the preload at the arm, and the cross it makes without re-scaling."""
    turn = bar_arm_rate(now.numbers) * now.number("bar_lead")
    yield f"One turn is {now.say(turn, 'force')} at the end of the bar's arm."
    yield from say_cross(now, lever, change)


def say_cross(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """Say what cross the scales would show, left alone otherwise; nothing where it does not move."""
    crosses = now.cross(), now.cross(now.moved(change, lever))
    if abs(crosses[1] - crosses[0]) < LEAST_CROSS:
        return
    before, after = (now.say(value, "share", places=2) for value in crosses)
    yield f"Left alone on the scales, cross weight goes from {before} to {after}."


def of_shock(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """What clicks are at the shock and at the wheel."""
    way, corner = lever.split("_")
    per_click = now.number(f"click_{way}_{corner}")
    ratio = now.number("shock_ratio_front") if corner in CORNER_KEYS[:2] else 1.0
    at = float(now.number(f"shock_base_rate_{corner}") + per_click * now.number(lever))
    said = f"It is {then(now, [at, at + change * per_click], 'shock_rate')} at the shock"
    if ratio != 1.0:
        said += f", {now.say(float(wheel_rate(change * per_click, ratio)), 'shock_rate', signed=True)} at the wheel"
    yield f"{said}."


def of_track_bar(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """Height of the rear roll center before and after, and what the bar's slope lifts."""
    ends = ("track_bar_left", "track_bar_right") if lever == "track_bar" else (lever,)
    moved = now.moved(change, *ends)
    heights = [roll_center(now), roll_center(now, numbers=moved)]
    point = now.model.run.limit.point
    side = now.mean(point.needs[1], MIDDLE)
    slopes = [float(track_bar_line(one)[2].item()) for one in (now.numbers, moved)]
    lifts = [now.pounds(side * slope, signed=True) for slope in slopes]
    yield f"The rear roll center, the bar's height on the centerline, is {then(now, heights, 'short_length')}."
    yield (
        f"In the middle the rear tires push {now.pounds(side)} sideways; by its slope the bar then presses "
        f"{once(*lifts)} on the body, up +, and as much the other way on the axle."
    )


def of_front_roll_center(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """Height of the roll axis under the center of gravity, and the arm that rolls the body."""
    rest, x = now.rest(), float(now.rest().body[0][SETTLED, 0]) / now.number("wheelbase")
    rear, body = roll_center(now), float(rest.body[2][SETTLED, 0])
    arms = [body - (front * x + rear * (1.0 - x)) for front in now.pair(lever, change)]
    yield f"The body's center of gravity is {then(now, arms, 'short_length')} above the roll axis; that arm rolls it."


def of_axle_lead(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """Angle the axle points, toward which side."""
    angles = [degrees(lead / now.number("track_rear")) for lead in now.pair(lever, change)]
    words = [
        f"{abs(angle):.2f} deg to the {'outside' if angle > 0 else 'inside'}" if angle else "straight"
        for angle in angles
    ]
    yield f"The rear axle points {once(*words)}."


def of_link(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """Angle of the link and what the drive lifts through it."""
    angles = [holes * now.number("link_per_hole") for holes in now.pair(lever, change)]
    lifts = [now.pounds(0.5 * now.drive * tan(angle), signed=True) for angle in angles]
    yield (
        f"The link rises forward by {then(now, angles, 'angle')}; coming off, its half of the drive presses the "
        f"axle down and the body up there by {once(*lifts)}."
    )


def then(now: CarNow, pair: list[float], kind: str) -> str:
    """Write a value before and after, once where nothing changes at the digits shown."""
    return once(*(now.say(value, kind) for value in pair))


def once(before: str, after: str) -> str:
    """Say both, or once what is alike."""
    return before if before == after else f"{before}, then {after}"
