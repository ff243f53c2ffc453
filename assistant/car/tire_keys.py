"""Every key of a tire file: unit, possible range with its reason, meaning.

The ranges are what is physically possible, wide on purpose; none has a source unless the reason says so.
"""

from __future__ import annotations

from math import pi

from assistant.car.keys import CORNER_KEYS, Key, key

_DEGREE = pi / 180
_TEN_PERCENT = 1 / 0.1**2
"""From the loss at ten per cent off the best to the loss per (share off)^2."""
_ONE_DEGREE = 1 / _DEGREE**2
_TWENTY_F = 1 / (20 / 1.8) ** 2
_LOSS = "a tire does not lose more than that so near its best"

# fmt: off
TIRE_KEYS: tuple[Key, ...] = (
    key("size: circumference", "radius", "short_length", "45 in", "130 in",
        "Free rolling circumference at the pressure below; the stagger of the setup sets RR from LR.",
        "racing tires measure 70 to 95 in around; is it a diameter?", members=CORNER_KEYS, scale=1 / (2 * pi)),
    key("size: at pressure", "pressure_ref", "pressure", "3 psi", "100 psi",
        "Pressure at which size and rate are stated.", "is it in kPa?"),
    key("size: growth", "growth", "short_length", "0 mm per psi", "5 mm per psi", "Radius gained with pressure.",
        "a tire grows by tenths of a millimeter per psi", per="pressure", shown="mm per psi", shown_si="mm per bar"),
    key("size: stretch", "stretch", "share", "-0.05 % per K", "0.05 % per K",
        "Share of circumference gained with temperature.", "more would be inches over a run", per="temperature_change",
        default="0 % per K", shown="% per K"),
    key("size: tread", "tread", "short_length", "1/32 in", "1 in", "Usable depth of a new tread.",
        "is it in millimeters?"),
    key("spring: rate", "rate", "spring_rate", "300 lb/in", "5000 lb/in", "Vertical rate at the pressure above.",
        "published car tires: 900 to 1200 lb/in"),
    key("spring: rate per pressure", "rate_pressure", "spring_rate", "0 lb/in per psi", "200 lb/in per psi",
        "Rate gained with pressure.", "racers quote 15 to 40 lb/in per psi", per="pressure"),
    key("grip: at load", "load_ref", "force", "100 lbf", "5000 lbf",
        "Load at which the numbers of this group are stated.", "one wheel of a car carries something between"),
    key("grip: peak", "grip", "ratio", "0.3", "3", "Largest side force over load.",
        "rubber on a paved road lies between 0.7 and 2"),
    key("grip: load exponent", "load_exponent", "ratio", "0.5", "1",
        "Side force grows as load to this power; less than 1 means grip falls with load.",
        "published bounds 0.7 to 0.9 (Milliken & Milliken, Race Car Vehicle Dynamics, ch. 2)"),
    key("grip: lengthways", "grip_long", "ratio", "0.6", "1.6", "Drive and brake grip over side grip.",
        "the two are nearly alike", default="1.05"),
    key("grip: peak slip", "peak_slip", "angle", "2 deg", "20 deg", "Slip angle of the largest side force.",
        "racing tires 5 to 7 deg, road tires 6 to 10 deg"),
    key("grip: peak slip growth", "peak_slip_growth", "share", "-50 %", "100 %",
        "How much the peak slip grows from that load to twice it.", "published: about 27 %", default="27 %"),
    key("grip: shape c", "shape_c", "ratio", "1.01", "1.99", "C of the Magic Formula curve.", "between 1 and 2",
        default="1.30"),
    key("grip: shape e", "shape_e", "ratio", "-20", "0.99", "E of the Magic Formula curve.", "1 or more has no peak",
        default="-1.42"),
    key("grip: worn out", "worn_grip", "share", "0 %", "80 %", "Share of grip lost when the tread is used up.",
        "a worn slick still has some grip", default="25 %"),
    key("pressure: best", "best_pressure", "pressure", "5 psi", "100 psi",
        "Hot pressure with most grip at the load of the grip group. Leave it out unless you know it: each tire is then "
        "taken to be best near the pressure it comes to, within 3 psi.", "is it in kPa?", unknown=True),
    key("pressure: best per load", "best_pressure_load", "pressure", "0 psi per 1000 lbf", "60 psi per 1000 lbf",
        "How much more air more load wants.", "a constant footprint would want about 20 psi per 1000 lbf",
        per="force", shown="psi per 1000 lbf", shown_si="kPa per kN"),
    key("pressure: lost 10 % off", "pressure_grip", "share", "0 %", "20 %",
        "Grip lost with a tenth too much or too little air.", _LOSS, scale=_TEN_PERCENT),
    key("pressure: least wear above best", "wear_pressure", "pressure", "-15 psi", "30 psi",
        "Wear is least this much above the best pressure.", "a few psi", default="3 psi"),
    key("pressure: stiffness", "stiffness_pressure", "ratio", "-1", "2",
        "Share of cornering stiffness gained per share of pressure.", "0 is no effect, 1 is proportional",
        default="0.2"),
    key("camber: best", "best_camber", "angle", "-5 deg", "12 deg", "Lean into the turn, to the road, with most grip.",
        "racing tires lie at 2 to 5 deg"),
    key("camber: lost 1 deg off", "camber_grip", "share", "0 %", "10 %", "Grip lost one degree off the best lean.",
        _LOSS, scale=_ONE_DEGREE),
    key("temperature: best", "best_temperature", "temperature", "30 F", "400 F", "Tread temperature with most grip.",
        "rubber burns above"),
    key("temperature: lost 20 F off", "temperature_grip", "share", "0 %", "20 %",
        "Grip lost 20 F (11 K) off the best.", _LOSS, scale=_TWENTY_F),
    key("temperature: heat capacity", "heat_capacity", "heat_capacity", "0.5 kJ/K", "60 kJ/K",
        "Heat that warms tread and belt by one kelvin.", "some kilograms of rubber, about 1.9 kJ/K each",
        default="9 kJ/K"),
    key("temperature: cooling still", "cooling_still", "cooling", "1 W/K", "500 W/K",
        "Heat lost per kelvin above the air, standing.", "tens of watts per kelvin", default="20 W/K"),
    key("temperature: cooling per speed", "cooling_speed", "cooling", "0 W/K per m/s", "50 W/K per m/s",
        "How much more with speed.", "a few", per="speed", default="3 W/K per m/s", shown="W/K per m/s"),
    key("temperature: heat share", "heat_share", "share", "5 %", "100 %",
        "Share of the sliding work that heats the tread, the rest heats the road.", "the road takes a part",
        default="50 %"),
    key("temperature: hysteresis", "hysteresis", "share", "0.1 %", "10 %",
        "Rolling drag over load; it all becomes heat.", "tires roll at 1 to 3 %", default="1.5 %"),
    key("temperature: gas lag", "gas_lag", "time", "1 s", "3600 s",
        "How long the air inside takes to follow the tread (time constant).", "some minutes", default="300 s"),
    key("temperature: gas share", "gas_share", "share", "10 %", "100 %",
        "Share of the tread's rise over the air that the air inside reaches.", "the wheel keeps it cooler",
        default="100 %"),
    key("wear: rate", "wear_rate", "short_length", "0 mm per MJ", "10 mm per MJ", "Tread used per sliding work.",
        "hundredths of a millimeter per megajoule; calibrate it", per="energy", shown="mm per MJ"),
    key("wear: more 10 % off", "wear_off_pressure", "share", "0 %", "50 %",
        "More wear with a tenth too much or too little air, counted from the pressure of least wear.", "some percent",
        scale=_TEN_PERCENT, default="6 %"),
    key("wear: more per overheat", "wear_overheat", "share", "0 % per K", "20 % per K",
        "More wear per kelvin above the best temperature.", "about a percent", per="temperature_change",
        shown="% per K", default="1 % per K"),
)
# fmt: on
