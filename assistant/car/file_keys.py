"""Every key of a car file: unit, possible range with its reason, meaning.

The ranges are what is physically possible for a car on four wheels, wide on purpose; they catch slips of the unit
or of a digit, not unusual cars. None has a source: each is an assumption with the reason beside it.

Every key of a tire file: unit, possible range with its reason, meaning.

The ranges are what is physically possible, wide on purpose; none has a source unless the reason says so.

Every key of a track file, and the measurements of a case file: unit, possible range with its reason, meaning.
"""

from __future__ import annotations

from math import pi

from assistant.car.keys import Key, key
from assistant.ground.names import CORNER_KEYS, PHASES

_FRONT = CORNER_KEYS[:2]
_OTHER_UNIT = "check the unit: the number fits another one better"
_SHOCK = "shocks of cars lie far inside this range"

# fmt: off
CAR_KEYS: tuple[Key, ...] = (
    key("weight: on the scales", "mass", "mass", "600 lb", "8000 lb",
        "The whole car with the driver and the fuel stated below.",
        "cars with a driver weigh something between; is it in kilograms?"),
    key("weight: fuel on the scales", "fuel_on_scales", "volume", "0 gal", "60 gal",
        "Fuel in the tank when the car was weighed.", "a fuel cell holds less than that"),
    key("weight: cg height", "cg_height", "short_length", "6 in", "40 in",
        "Height of the center of gravity of the whole car above the ground.",
        "a center of gravity lies between the floor pan and the top of the door"),
    key("weight: ballast", "ballast_mass", "mass", "0 lb", "800 lb", "Lead that can be moved up or down.",
        "more would not be ballast", default="0 lb"),
    key("weight: unsprung front", "unsprung_front", "mass", "40 lb", "800 lb",
        "Both front wheels with tires, hubs, brakes and half of the arms.",
        "two wheels with tires alone weigh more than the least"),
    key("weight: unsprung rear", "unsprung_rear", "mass", "40 lb", "1200 lb",
        "The rear axle with wheels, tires and brakes.", "an axle with two wheels lies between"),
    key("weight: unsprung height front", "unsprung_height_front", "short_length", "5 in", "25 in",
        "Height of the center of the front wheels and hubs.", "about the radius of the tire"),
    key("weight: unsprung height rear", "unsprung_height_rear", "short_length", "5 in", "25 in",
        "Height of the center of the axle.", "about the radius of the tire"),
    key("size: wheelbase", "wheelbase", "short_length", "60 in", "160 in",
        "Front wheel center to rear wheel center, straight ahead.", _OTHER_UNIT),
    key("size: track front", "track_front", "short_length", "35 in", "100 in",
        "Middle of tread to middle of tread, front.", _OTHER_UNIT),
    key("size: track rear", "track_rear", "short_length", "35 in", "100 in",
        "Middle of tread to middle of tread, rear.", _OTHER_UNIT),
    key("front end: spring ratio", "spring_ratio_front", "ratio", "0.2", "1.2",
        "Travel of the front spring for one of the wheel.",
        "a spring seldom moves more than its wheel; turn the ratio round"),
    key("front end: shock ratio", "shock_ratio_front", "ratio", "0.2", "1.2",
        "Travel of the front shock for one of the wheel.",
        "a shock seldom moves more than its wheel; turn the ratio round"),
    key("front end: bar length", "bar_length", "short_length", "10 in", "80 in",
        "Length of the sway bar that twists, between its arms.", "a bar fits between the wheels"),
    key("front end: bar arm", "bar_arm", "short_length", "3 in", "30 in",
        "Length of the bar's arm, square to the bar.", "arms lie far inside this range"),
    key("front end: bar ratio", "bar_ratio", "ratio", "0.1", "1.2", "Travel of the arm's end for one of the wheel.",
        "the link sits on the arm, inside the wheel; turn the ratio round"),
    key("front end: bar bore", "bar_bore", "short_length", "0 in", "3 in",
        "Inside diameter of a hollow bar, 0 for solid.", "it must be less than the outside diameter in the setup",
        default="0 in"),
    key("front end: bar lead", "bar_lead", "short_length", "0.01 in per turn", "1/2 in per turn",
        "How far a turn of the preload screw moves the arm's end.", "the pitch of a thread", per="turns",
        default="1/18 in per turn"),
    key("front end: camber gain", "camber_gain", "angle", "-4 deg per in", "6 deg per in",
        "How much the top leans in as the wheel rises.", "arms do not turn a wheel that fast", members=_FRONT,
        per="short_length", shown_si="deg per 10 mm"),
    key("front end: anti dive", "anti_dive", "share", "-100 %", "100 %",
        "Share of the dive under braking that the front arms carry.", "more than all of it would lift the nose",
        members=_FRONT, default="0 %"),
    key("front end: ackermann", "ackermann", "share", "-200 %", "400 %",
        "Extra steering of the left wheel in a left turn, as a share of full Ackermann.", "100 % is full Ackermann",
        default="0 %"),
    key("front end: steering lock", "steering_lock", "angle", "5 deg", "60 deg",
        "Largest mean angle of the front wheels.", "measured at the wheels, not at the steering wheel", unknown=True),
    key("rear axle: spring base", "spring_base", "short_length", "10 in", "90 in",
        "Between the left and the right rear spring.", "springs stand between the wheels"),
    key("rear axle: shock base", "shock_base", "short_length", "10 in", "90 in",
        "Between the left and the right rear shock.", "shocks stand between the wheels"),
    key("rear axle: link base", "link_base", "short_length", "5 in", "90 in",
        "Between the left and the right trailing link.", "links lie between the wheels"),
    key("rear axle: link per hole", "link_per_hole", "angle", "0 deg", "15 deg",
        "Change of a trailing link's slope from one hole to the next.", "atan(hole spacing / link length)"),
    key("rear axle: jack lead", "jack_lead", "short_length", "0.01 in per turn", "1/2 in per turn",
        "How far a turn of a weight-jack bolt moves its spring's seat.", "threads have 5 to 24 turns to the inch",
        per="turns", default="1/8 in per turn"),
    key("rear axle: track bar axle end", "track_bar_axle_y", "short_length", "-50 in", "50 in",
        "Sideways place of the bar's end on the axle.", "the bar ends inside the wheels", sided=True),
    key("rear axle: track bar frame end", "track_bar_frame_y", "short_length", "-50 in", "50 in",
        "Sideways place of the bar's end on the frame.", "the bar ends inside the wheels", sided=True),
    key("rear axle: locked", "locked", "share", "0 %", "100 %",
        "How much the two rear wheels turn as one: 100 % spool, 0 % open, a locker between.",
        "0 % is open, 100 % is a spool", members=PHASES, default="100 %"),
    key("shocks: rate at click 0", "shock_base_rate", "shock_rate", "0 lb s/in", "200 lb s/in",
        "Force per shaft speed with all clicks out.", _SHOCK, members=CORNER_KEYS),
    key("shocks: compression per click", "click_compression", "shock_rate", "0 lb s/in", "20 lb s/in",
        "Rate added in compression by one click.", _SHOCK, members=CORNER_KEYS),
    key("shocks: rebound per click", "click_rebound", "shock_rate", "0 lb s/in", "20 lb s/in",
        "Rate added in rebound by one click.", _SHOCK, members=CORNER_KEYS),
    key("aero: drag area", "drag_area", "area", "1 ft2", "40 ft2", "Drag coefficient times frontal area.",
        "a plate as large as a car has about 30 ft2"),
    key("aero: front downforce area", "front_lift_area", "area", "-20 ft2", "40 ft2",
        "Downforce coefficient times area at the front axle, without tape.", "downforce is +", default="0 ft2"),
    key("aero: rear downforce area", "rear_lift_area", "area", "-20 ft2", "60 ft2",
        "The same at the rear axle, with the spoiler flat.", "downforce is +", default="0 ft2"),
    key("aero: spoiler downforce", "spoiler_lift", "area", "-10 ft2 per 10 deg", "10 ft2 per 10 deg",
        "Rear downforce area gained per angle of the spoiler.", "a spoiler is a plate of a few square feet",
        per="angle", default="0 ft2 per deg", shown="ft2 per 10 deg", shown_si="m2 per 10 deg"),
    key("aero: spoiler drag", "spoiler_drag", "area", "-10 ft2 per 10 deg", "10 ft2 per 10 deg",
        "Drag area gained per angle of the spoiler.", "a spoiler is a plate of a few square feet", per="angle",
        default="0 ft2 per deg", shown="ft2 per 10 deg", shown_si="m2 per 10 deg"),
    key("aero: tape downforce", "nose_lift", "area", "-2 ft2", "5 ft2",
        "Front downforce area gained by one strip of tape.", "one strip changes little", default="0 ft2"),
    key("tank: behind the rear axle", "tank_x", "short_length", "-120 in", "80 in",
        "Middle of the fuel behind the middle of the rear axle.", "the tank is inside the car; behind the axle is +",
        scale=-1.0),
    key("tank: off the centerline", "tank_y", "short_length", "-40 in", "40 in",
        "Middle of the fuel beside the centerline.", "the tank is inside the car", sided=True, default="0 in"),
    key("tank: height", "tank_z", "short_length", "2 in", "50 in", "Middle of the fuel above the ground.",
        "the tank is inside the car"),
    key("tank: volume", "tank_volume", "volume", "1 gal", "60 gal", "What the tank holds.",
        "a fuel cell lies between"),
    key("tank: fuel density", "fuel_density", "density", "5 lb/gal", "8 lb/gal",
        "Weight of the fuel per volume; gasoline 6.0 to 6.5 lb/gal.", "gas and alcohol lie between 6 and 6.7 lb/gal",
        default="6.2 lb/gal"),
    key("inertia: yaw radius", "yaw_radius", "ratio", "0.3", "2",
        "(Radius of gyration in yaw)^2 over the two distances from the center of gravity to the axles.",
        "cars lie near 1", default="1.0"),
)
# fmt: on

# fmt: off
ENGINE_KEYS: tuple[Key, ...] = (
    key("engine: rev limit", "rev_limit", "rpm", "2000 rpm", "20000 rpm", "Where the limiter cuts.",
        "engines lie between"),
    key("engine: driveline", "driveline", "share", "40 %", "100 %", "Share of the power that reaches the wheels.",
        "losses are usually 10 to 20 %", default="86 %"),
    key("engine: fuel use", "fuel_use", "fuel_use", "0.25 lb/hp h", "1.5 lb/hp h",
        "Fuel burned per work at full power.", "gasoline engines lie between 0.4 and 0.6, alcohol near 1",
        default="0.50 lb/hp h"),
)
# fmt: on
POWER = key("engine: curve", "power", "power", "1 hp", "3000 hp", "Power at the crankshaft by rpm.", "is it in watts?")
GEAR = key("engine: gears", "gears", "ratio", "0.3", "8", "Gearbox ratios, first to top.", "gearbox ratios lie between")


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
    key("size: rolling", "rolling_share", "share", "0 %", "100 %",
        "Share of a tire's deflection under load that the radius it rolls on loses: a third for bias ply, a tenth for"
        " radials.", "a tire rolls on a radius between the free and the loaded one", default="33 %"),
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
    key("hot stagger", "hot_stagger", "short_length", "-2 in", "8 in", "Rear stagger taped when the car comes in.",
        "is it in mm?"),
    key("rpm", "rpm_max", "rpm", "500 rpm", "20000 rpm", "Engine speed at the end of the straight.",
        "engines lie between"),
)
TREAD_KEY = key("temperatures", "temperatures", "temperature", "-20 F", "450 F",
                "Tread temperatures of a tire: inside, middle, outside; inside faces the middle of the car.",
                _TREAD)
LAP_TIME_KEY = key("lap times", "lap_times", "lap_time", "5 s", "600 s", "Times of the laps of the run, first to last.",
                   "an oval lap takes 10 to 90 s")
LAPS_KEY = key("laps", "laps", "laps", "1", "2000", "Laps of the measured run.", "a run is as long as the tank allows")
RUN_KEY = key("run", "run_laps", "laps", "1", "2000", "Laps between stops.", "a run is as long as the tank allows")
_TAUGHT = ("wear_rate", "heat_share", "hysteresis", "cooling_still", "cooling_speed", "gas_lag", "gas_share",
           "worn_grip", "fuel_use")
FIT_KEYS: tuple[Key, ...] = tuple(one for one in (*TIRE_KEYS, *ENGINE_KEYS) if one.field in _TAUGHT)
"""What a run log can teach: keys of the tire file, and the engine's fuel use."""
BESIDE_KEYS: tuple[Key, ...] = (
    key("beside the model: tread", "tread", "temperature_change", "-200 F", "200 F",
        "How much hotter a tread reads than the model has it.", "is it in C?", members=CORNER_KEYS),
    key("beside the model: hot pressure", "pressure", "pressure", "-30 psi", "30 psi",
        "How much more a hot tire reads than the model has it.", "is it in kPa?", members=CORNER_KEYS),
    key("beside the model: wear", "wear", "share", "-90 %", "500 %",
        "How much more a tire wears than the model has it.", "check the unit", members=CORNER_KEYS),
)
"""How far off the model each tire of a run log reads."""
LEFT_KEYS: tuple[Key, ...] = (
    *(key(": ".join(("doubt left", *one.path)), one.field, "share", "0 %", "100 %", "Share of the usual doubt left.")
      for one in FIT_KEYS),
    *(key(f"doubt left: {one.path[-1]} beside it", one.field, "share", "0 %", "100 %", "The same of each tire.",
          members=CORNER_KEYS) for one in BESIDE_KEYS),
)
"""How much of the usual doubt of each the log left."""
# fmt: on
REFERENCES = ("car", "tire", "track", "rulebook", "setup")
"""The other files a case names."""
NOT_HERE = "not here"
"""List of a case file: levers this car has not, or parts of them, whatever the rulebook says."""
OWN_LEVERS = "own levers"
"""Block of a setup file for levers of a team's own; what a value means, only that team's rules can tell."""
