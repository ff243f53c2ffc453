"""Makes the run logs of the demo: a car that is not our model, so that calibrating on it proves something.

Everything here is a simple law of its own, one curve per reading, with made-up sizes; nothing is solved and nothing of
`assistant` is imported. Temperatures climb exponentially and creep up with wear; pressures build by the few psi one
page on oval pressures gives (RF +6, RR +4, LF +2, LR +3 psi; EZM, read); wear speeds up with distance; lap time is a
warm-up loss plus a power of the laps on the tires. Readings carry noise and are rounded as gauges show them.
The sizes were chosen once, before anything was fitted to them, and are invented except where said.

Write the logs anew: python -m tests.generators.other_car
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import exp
from pathlib import Path
from random import Random

FOLDER = Path(__file__).resolve().parents[2] / "knowledge" / "demo"
CORNERS = ("LF", "RF", "LR", "RR")
AIR = 75.0
COLD = {"LF": 16.0, "RF": 24.0, "LR": 16.0, "RR": 22.0}
"""Cold pressures of the demo's setup [psi]."""
STRIPS = {"LF": (7.0, -2.0, -5.0), "RF": (4.0, 3.0, -7.0), "LR": (5.0, -1.0, -4.0), "RR": (6.0, 4.0, -10.0)}
"""Inside, middle, outside above the mean [F]."""
DEPTH = 4.8
"""Tread of a new tire [mm]."""
BASE, COLD_LOSS, COLD_LAPS, FADE, FADE_LAPS, FADE_POWER = 22.95, 0.60, 2.2, 0.70, 60.0, 1.2
FUEL_AT_GREEN, FUEL_GAIN = 12.0, 0.012
"""Gallons at the start; seconds a lap gained per gallon burned."""
OFF, OF_ONE_TIRE, UNSTEADY = 0.25, 0.08, (1.0, 4.0)
"""How far sizes of one car are off those of the next (log sd), and one tire besides; how unsteady a hand may be."""


def by_corner(*values: float) -> dict[str, float]:
    """Name one value of each tire."""
    return dict(zip(CORNERS, values, strict=True))


@dataclass(frozen=True)
class Sizes:
    """How large everything is on one car.

    build: hot pressure above the cold one [psi]; rise: of the tread above the air once warm [F]; wear: tread lost on
    the first lap [mm]; fuel: gallons per lap. unsteady: noise of gauge and hand, in that of the demo's logs.
    """

    build: dict[str, float] = field(default_factory=lambda: by_corner(2.0, 6.0, 3.0, 4.0))
    rise: dict[str, float] = field(default_factory=lambda: by_corner(84.0, 128.0, 90.0, 121.0))
    wear: dict[str, float] = field(default_factory=lambda: by_corner(0.0135, 0.0310, 0.0145, 0.0335))
    warm_laps: float = 3.5
    gas_laps: float = 9.0
    creep: float = 0.10
    wear_growth: float = 170.0
    fuel: float = 0.098
    unsteady: float = 1.0


USUAL = Sizes()
"""Those of the demo's logs."""


def draw_sizes(draw: Random) -> Sizes:
    """Draw the sizes of another car about those of the demo's logs."""

    def off(spread: float = OFF) -> float:
        return exp(draw.gauss(0.0, spread))

    def tires(values: dict[str, float], spread: float = OFF) -> dict[str, float]:
        common = off(spread)
        return {corner: value * common * off(OF_ONE_TIRE) for corner, value in values.items()}

    return Sizes(
        build=tires(USUAL.build),
        rise=tires(USUAL.rise, OF_ONE_TIRE),
        wear=tires(USUAL.wear),
        warm_laps=USUAL.warm_laps * off(),
        gas_laps=USUAL.gas_laps * off(),
        creep=USUAL.creep * off(),
        wear_growth=USUAL.wear_growth * off(),
        fuel=USUAL.fuel * off(OF_ONE_TIRE),
        unsteady=draw.uniform(*UNSTEADY),
    )


@dataclass
class OtherCar:
    """A car on the track. age: laps on each tire. warmth, gas: how far tread and air have warmed up, 0 to 1."""

    noise: Random
    sizes: Sizes = USUAL
    age: dict[str, int] = field(default_factory=lambda: dict.fromkeys(CORNERS, 0))
    warmth: float = 0.0
    gas: float = 0.0
    fuel: float = FUEL_AT_GREEN

    def drive(self) -> float:
        """Drive a lap and give its time [s]."""
        for corner in CORNERS:
            self.age[corner] += 1
        self.warmth += (1 - self.warmth) * (1 - exp(-1 / self.sizes.warm_laps))
        self.gas += (1 - self.gas) * (1 - exp(-1 / self.sizes.gas_laps))
        self.fuel -= self.sizes.fuel * self.noise.gauss(1.0, 0.02)
        old = (self.age["RF"] + self.age["RR"]) / 2
        cold = COLD_LOSS * (1 - self.warmth) ** (self.sizes.warm_laps / COLD_LAPS)
        gained = FUEL_GAIN * (FUEL_AT_GREEN - self.fuel)
        traffic = self.noise.choice((0.35, 0.6, 0.9)) if self.noise.random() < 0.05 else 0.0
        worn = FADE * (old / FADE_LAPS) ** FADE_POWER
        return BASE + cold + worn - gained + traffic + self.noise.gauss(0.0, 0.06)

    def rest(self, share: float) -> None:
        """Roll through the pits: tread and gas lose a share of their warmth."""
        self.warmth *= 1 - share
        self.gas *= 1 - share / 4

    def change(self, corners: tuple[str, ...]) -> None:
        """Fit new tires; the mean warmth drops with them."""
        for corner in corners:
            self.age[corner] = 0
        self.warmth *= 1 - len(corners) / 5
        self.gas *= 1 - len(corners) / 5

    def tread(self, corner: str) -> list[int]:
        """Inside, middle, outside as a pyrometer shows them [F]."""
        mean = AIR + self.sizes.rise[corner] * self.warmth + self.sizes.creep * self.age[corner]
        return [round(mean + strip + self._noise(2.5)) for strip in STRIPS[corner]]

    def pressure(self, corner: str) -> float:
        """Hot pressure to a quarter psi."""
        return round(4 * (COLD[corner] + self.sizes.build[corner] * self.gas + self._noise(0.15))) / 4

    def depth(self, corner: str) -> float:
        """Tread depth to a tenth of a millimeter; noise small against the tenth."""
        age = self.age[corner]
        worn = self.sizes.wear[corner] * (age + 0.5 * age**2 / self.sizes.wear_growth)
        return round(DEPTH - worn + self._noise(0.03), 1)

    def _noise(self, usual: float) -> float:
        """What gauge and hand are off once."""
        return self.noise.gauss(0.0, usual * self.sizes.unsteady)


HEAD = (
    "lap",
    "lap time (s)",
    *(f"{corner} {strip} (F)" for corner in CORNERS for strip in ("inside", "middle", "outside")),
    *(f"{corner} hot pressure (psi)" for corner in CORNERS),
    *(f"{corner} tread depth (mm)" for corner in CORNERS),
    "fuel left (gal)",
    "slow laps",
    "new tires",
    "refueled",
)


def practice(seed: int = 11, sizes: Sizes = USUAL) -> list[list[str]]:
    """Sixty laps on one set; the car rolls through the pits and is read after laps 5, 15, 35 and 60."""
    car = OtherCar(Random(seed), sizes)  # noqa: S311 - noise of a gauge, no secret
    rows = [before_the_run(car)]
    for lap in range(1, 61):
        rows.append([str(lap), f"{car.drive():.2f}", *[""] * 24])
        if lap in {5, 15, 35, 60}:
            rows[-1][2:] = [*readings(car), "" if lap == 60 else "1", "", ""]
            car.rest(0.25)
    return rows


def race(seed: int = 12, sizes: Sizes = USUAL) -> list[list[str]]:
    """Ninety laps: right-side tires and fuel after lap 45, under three slow laps; read there and at the end."""
    car = OtherCar(Random(seed), sizes)  # noqa: S311 - noise of a gauge, no secret
    rows = [before_the_run(car)]
    for lap in range(1, 91):
        rows.append([str(lap), f"{car.drive():.2f}", *[""] * 24])
        if lap in {45, 90}:
            rows[-1][2:23] = readings(car)
        if lap == 45:
            rows[-1][23:] = ["3", "RF RR", "yes"]
            car.rest(0.5)
            car.change(("RF", "RR"))
            car.fuel = FUEL_AT_GREEN
    return rows


def few_laps(seed: int = 13) -> list[list[str]]:
    """Six laps with a stopwatch and nothing else: what no calibration can learn from."""
    car = OtherCar(Random(seed))  # noqa: S311 - noise of a gauge, no secret
    return [[str(lap), f"{car.drive():.2f}"] for lap in range(1, 7)]


def before_the_run(car: OtherCar) -> list[str]:
    """Row 0: new tread and a full tank."""
    return ["0", "", *[""] * 16, *(f"{car.depth(corner):.1f}" for corner in CORNERS), f"{car.fuel:.1f}", "", "", ""]


def readings(car: OtherCar) -> list[str]:
    """Every reading when the car comes in."""
    return [
        *(str(value) for corner in CORNERS for value in car.tread(corner)),
        *(f"{car.pressure(corner):.2f}" for corner in CORNERS),
        *(f"{car.depth(corner):.1f}" for corner in CORNERS),
        f"{car.fuel:.1f}",
    ]


def text(rows: list[list[str]], about: str) -> str:
    """Write a log as CSV."""
    head = HEAD[: len(rows[0])]
    return "\n".join([f"# {about}", ",".join(head), *(",".join(row) for row in rows), ""])


INVENTED = "Invented log of the demo car, made by tests/generators/other_car.py"
LOGS = {
    "run-practice.csv": lambda: text(practice(), f"{INVENTED}: sixty laps of practice on one set of tires."),
    "run-race.csv": lambda: text(race(), f"{INVENTED}: ninety laps with a stop after lap 45."),
    "run-few-laps.csv": lambda: text(few_laps(), f"{INVENTED}: six laps and a stopwatch."),
}


if __name__ == "__main__":
    for name, make in LOGS.items():
        (FOLDER / name).write_text(make(), encoding="utf-8")
