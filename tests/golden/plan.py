"""What is recorded, as data: each piece is one file, with the commands it runs in turn, written as they are typed.

`told` is a copy of the case with what the driver says, and readings, put in. A command that is renamed keeps its
name here, so that its record keeps its heading: RENAMED says what it is called today.
"""

import shlex
from dataclasses import dataclass

RENAMED: dict[str, str] = {}
DRIVER_SAYS = "driver says"
READINGS = """measured:
  laps: 40
  temperatures: {rf: [200, 215, 205], rr: [205, 196, 185], lf: [180, 178, 171], lr: [176, 175, 177]}
  hot pressure: {rf: 31, rr: 34}
  wear: {rf: 2.2 mm, rr: 2.4 mm}
"""
CASES = ("demo", "demo-tight", "demo-snap")
COMPLAINTS = {
    "loose-off-late": ("loose off, worn, 3", ""),
    "tight-middle-long-run": ("tight in the middle and it gets worse on a long run", ""),
    "tight-then-snaps": ("tight in the middle then snaps loose when I pick up the gas", ""),
    "two-ends": ("loose in turn 1, tight off turn 4", ""),
    "stop-vibration": ("vibration in the right rear and it smells hot", ""),
    "not-understood": ("the car is purple and the moon is full", ""),
    "tight-answered": ("tight", "--answer where=exit --answer when-in-run=late --answer safety=none"),
    "turns-around": ("good for ten laps then free in and tight off", "--units si"),
}
"""What the driver says, and the options with it; the cases hear them in turn."""
ALWAYS = "advise {case} {given} --json --facts"
TURNS = (
    "talk {case}",
    "sheet {case} {given} -o - --format {form}\nforecast told --json\ncorner told --json",
    "advise {case} {given} all --facts\nforecast told {part}\ntry told {change} --json",
)
"""What follows for a complaint, another with each case."""
LOOK_ROUND = "{words}|enough|why 1|why 2 all|try 1|forecast|quit"
CHANGES = (
    "stagger+=1/4in",
    "spring_rr=250",
    "cross_weight-=1%",
    "pressure_rr-=2psi brake_bias=60%",
    "final_drive=6.00",
)
FORMS = ("html", "markdown")
PARTS = ("", "ends", "drift", "wear", "steering", "gears", "brakes", "air")
CAR = """levers {case} --json
levers {case} --severity
levers {case} all
levers {case} stagger track_bar
advise {case}
advise {case} --accessible
sheet {case} -o - --format markdown --against demo-snap --units si
forecast {case} all
forecast {case} --csv --laps 20
forecast {case} --json --laps 60 --stop "30: new right tires, fuel"
forecast {case} --stop "20: fuel" --stop "45: caution 5 laps" --units si
try {case} stagger+=1/4in
try {case} spring_rr=250 --seats-alone --stop "40: fuel"
corner {case} all
corner {case} --stage fresh --units si
tires told
tires told --json
advise told --json"""
WORDS = """explain stagger
explain cross weight --json
explain loose off
explain rr-used-up
where loose off
where stagger --json
help
help advise
check --coverage
calibrate told run-practice.csv --dry-run --json
calibrate told run-few-laps.csv --dry-run
--version"""
MISTAKES = """advise
advize demo
advise demoo
advise demo --complaint ""
advise demo --answer where
advise demo --answer where=moon
advise demo --jsn
levers demo stager
forecast demo --laps 3
forecast demo --stop soon
try demo stagger
try demo staggr=2in
try demo cross_weight=90%
tires demo
corner demo --stage old
explain wng
where nowhere
sheet demo --format pdf
calibrate demo none.csv
new moon
--color pink advise demo"""
TALKS = {
    "whole": "|loose off late|1|why 1|why 2 all|why 1 not 2|try 2|make 2|undo|make 1|show|sheet page.md|more|quit",
    "answers": "tight in the middle|1|3|2|?|1|2|back|1|ask|1|2|3|1|change|change 1|2|enough|causes|severity|quit",
    "slips": "losse off|enuff|wy 1|tri 1|mke 1|undoo|forcast|lvers stager|shet|cuases|qit|quit",
    "stop": "vibration in the right rear|enough|it pulls under brakes|loose off|2|1|enough|why 1|sheet stop.html|quit",
    "temps": "loose off late|enough|temps 200 215 205 205 196 185 180 178 171 176 175 177|tires|why 1|causes|quit",
    "mine": "mine|my car|||||||||||enough|tight off|enough|show|make 1|show|quit",
}


@dataclass(frozen=True)
class Piece:
    """One file: what runs, on which case, what the driver of `told` says, and what is typed into a talk."""

    commands: str
    case: str = "demo"
    given: str = ""
    says: str = ""
    typed: str = ""

    def runs(self) -> list[list[str]]:
        """Return the words of every command."""
        return [shlex.split(line.format(case=self.case, given=self.given)) for line in self.commands.splitlines()]


def pieces() -> dict[str, Piece]:
    """Return every piece by its name."""
    turns = [f"{one}.{CASES[i % len(CASES)]}" for i, one in enumerate(COMPLAINTS)]
    found = {name: heard(*name.split(".")) for name in turns}
    found |= {"car.demo": Piece(CAR), "words": Piece(WORDS), "mistakes": Piece(MISTAKES)}
    return found | {
        f"talk.{name}": Piece("talk {case}", CASES[i % 3], typed=typed) for i, (name, typed) in enumerate(TALKS.items())
    }


def heard(name: str, case: str) -> Piece:
    """Return one complaint heard by one case, with what its turn adds."""
    says, options = COMPLAINTS[name]
    number = list(COMPLAINTS).index(name)
    turn = TURNS[(number + CASES.index(case)) % len(TURNS)]
    for key, values in (("{form}", FORMS), ("{part}", PARTS), ("{change}", CHANGES)):
        turn = turn.replace(key, values[number % len(values)])
    given = f"--complaint {shlex.quote(says)} {options}"
    return Piece(f"{ALWAYS}\n{turn}", case, given, says, LOOK_ROUND.format(words=says))
