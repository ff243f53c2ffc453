"""Every key of a track file, and the measurements of a case file: unit, possible range with its reason, meaning."""

from __future__ import annotations

from assistant.car.keys import CORNER_KEYS, Key, key

_WEATHER = "races are run between frost and desert"
_TREAD = "a probe in the rubber reads between the air and 400 F"

# fmt: off
TRACK_KEYS: tuple[Key, ...] = (
    key("surface: grip", "grip", "share", "10 %", "200 %",
        "Grip of the surface against the one the tire was measured on.",
        "100 % is the tire's own surface", default="100 %"),
    key("surface: temperature", "track_temperature", "temperature", "-20 F", "200 F", "Temperature of the surface.",
        _WEATHER, default="95 F"),
    key("air: temperature", "air_temperature", "temperature", "-40 F", "130 F", "Temperature of the air.", _WEATHER,
        default="75 F"),
    key("air: density", "air_density", "density", "0.7 kg/m3", "1.6 kg/m3",
        "Density of the air; 1.2 kg/m3 near the sea.",
        "high country on a hot day has 0.9 kg/m3", default="1.18 kg/m3", shown="kg/m3"),
)
END_KEYS: tuple[Key, ...] = (
    key("radius", "radius", "length", "30 ft", "3000 ft", "Radius of the line the car drives.",
        "short tracks turn at 100 to 400 ft, the longest at about 1000 ft"),
    key("bank", "bank", "angle", "-5 deg", "40 deg", "Banking of that line.", "the steepest tracks have about 36 deg"),
    key("length", "length", "length", "50 ft", "8000 ft", "Length of the turn along that line.",
        "half a circle is 3.14 times the radius"),
    key("straight after", "straight", "length", "0 ft", "8000 ft", "Length of the straight after this end.",
        "no oval is that long"),
)
MEASURED_KEYS: tuple[Key, ...] = (
    key("hot pressure", "hot_pressure", "pressure", "3 psi", "120 psi", "Pressures when the car comes in.",
        "is it in kPa or bar?", members=CORNER_KEYS),
    key("cold pressure", "cold_pressure", "pressure", "3 psi", "100 psi", "Pressures before the run.",
        "is it in kPa or bar?", members=CORNER_KEYS),
    key("wear", "wear", "short_length", "0 in", "1 in", "Tread used over the run.", "no tire has that much tread",
        members=CORNER_KEYS),
    key("fuel used", "fuel_used", "volume", "0 gal", "60 gal", "Fuel used over the run.", "no tank holds that much"),
    key("steering", "steering", "angle", "0 deg", "60 deg", "Largest mean angle of the front wheels seen.",
        "at the front wheels; for the steering wheel write 'steering wheel'"),
    key("steering wheel", "steering_wheel", "angle", "0 deg", "1200 deg", "Largest angle of the steering wheel seen.",
        "three turns each way are the most"),
    key("rpm", "rpm_max", "rpm", "500 rpm", "20000 rpm", "Engine speed at the end of the straight.",
        "engines lie between"),
)
TREAD_KEY = key("temperatures", "temperatures", "temperature", "-20 F", "450 F",
                "Tread temperatures of a tire: inside, middle, outside; inside faces the middle of the car.",
                _TREAD)
LAP_TIME_KEY = key("lap times", "lap_times", "lap_time", "5 s", "600 s", "Times of the laps of the run, first to last.",
                   "an oval lap takes 10 to 90 s")
# fmt: on
