"""What is stopped for, in any order of words, and what only sounds like it. By one who had read the lists."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.diagnosis.hearing import read
from assistant.diagnosis.session import start
from assistant.ground.understood import LOSES_AIR, UNDER_A_CAR, StopReason
from assistant.pages.hearing_words import say_back
from tests.diagnosis.interview_pack import PACK, demo_case, read_complaint

DANGERS = [
    "the wheel is coming off and it is loose off",
    "the wheels are falling off",
    "hood is coming off",
    "rr spring is coming out",
    "the tire is coming off the rim",
    "track bar came loose",
    "right rear shock came loose",
    "shock came loose",
    "shock came loose",
    "rr shock is gone",
    "right rear shock is blown",
    "blown shock",
    "bad shock",
    "shock is gone",
    "sway bar is broke",
    "the panhard bar worked loose",
    "spring rubber fell out",
    "left front shock is leaking",
    "leaking rf shock",
    "the track bar bracket is bent",
    "we broke a trailing arm",
    "trailing arm broke off",
    "a lug nut is missing",
    "lost a lug nut",
    "the weight shook loose",
    "pedal is going away",
    "brake pedal goes soft",
    "soft pedal",
    "my pedal keeps getting longer",
    "the brakes are fading",
    "pedal is fading",
    "losing my brakes late in the run",
    "pedal goes to the floor",
    "pedal sinks",
    "have to pump the brakes",
    "throttle sticks",
    "gas pedal hangs up",
    "throttle hung wide open",
    "the throttle wont close",
    "sticky throttle",
    "steering wheel is crooked",
    "steering is binding",
    "steering got heavy after i hit the wall",
    "wheel is crooked since the hit",
    "play in the steering wheel",
    "we hit the wall in 2",
    "tagged the fence",
    "fumes in the car",
    "i smell exhaust",
    "smoke in the cockpit",
    "im dizzy",
    "driver is tired",
    "i'm overheated",
    "driver overheated",
    "i feel sick",
    "its too hot in the car",
    "the right rear is losing air",
    "rr wont hold air",
    "tire is going down",
    "lf going flat",
    "loose off, and the shock is smoking",
    "tight in the middle but the brake pedal is soft",
    "came loose, the track bar",
    "something came loose in the rear",
    "the shock on the right rear came loose",
    "engine is overheating",
    "smoking shock",
    "shock, it came loose",
    "shock is not only loose, its broke",
    "bent tie rod",
    "the tie rod looks bent",
    "wrench came loose",
    "got hit by another car",
    "the seat is loose",
    "shook the track bar loose",
    "the bolt on the track bar came loose",
    "rr shock blown",
    "the right rear shock is dead",
    "jack bolt backed out",
    "pedal soft",
    "brakes went away",
    "brakes went soft with ten to go",
    "no pedal",
    "brake pedal long and low",
    "brake pedal is going to the floor",
    "losing brake pressure",
    "the pedal is fading away",
    "pedal fades after ten laps",
    "throttle is sticking",
    "throttle hangs when i lift",
    "gas sticks",
    "stuck throttle",
    "carb linkage is binding",
    "steering is crooked",
    "steering binds in the middle",
    "steering wheel crooked going down the straight",
    "heavy steering after we hit the wall",
    "after the hit the steering is heavy",
    "i got into the wall off 4",
    "somebody ran into me and now it pushes",
    "exhaust fumes are making me dizzy",
    "getting dizzy from the fumes",
    "burning smell",
    "driver feels sick",
    "i am exhausted",
    "feet are burning",
    "i feel faint",
    "my head hurts",
    "left rear tire has a slow leak",
    "lost air in the left front",
    "rr tire is low",
    "air leaking out of the right rear",
    "tire pressure dropping",
    "right rear went down",
    "the lf tire blew",
    "spring is broken",
    "birdcage bolt sheared off",
    "heim joint is shot",
    "sway bar arm bent",
    "broke the sway bar link",
    "cracked weld on the rear clip",
    "the lead worked loose",
    "hub has play",
    "smoke off the right front",
    "the motor is overheating",
    "temp gauge pegged",
    "loose off late and the track bar mount is cracked",
    "hood came off",
    "header is cracked, fumes inside",
    "the left rear shock mount broke",
    "shocks are blown",
    "spring came loose off 4",
    "the rear shock came loose on the left side",
    "bar fell off",
    "wheel fell off",
    "brakes got hot and faded",
    "my brakes are going away",
    "i cant stop",
    "no brakes",
    "losing brake late",
    "throttle stuck open",
    "gas pedal stuck to the floor",
    "tire went flat",
    "right front is flat",
    "we lost a wheel",
    "wheel nuts are loose",
    "the steering shaft is loose",
    "i tapped the wall",
    "hit the fence hard",
    "scraped the wall and now its tight",
    "there is smoke coming from the engine",
    "oil on the windshield",
    "driver is dizzy and hot",
    "im exhausted and dizzy",
    "im not feeling good",
    "heat is getting to me",
    "cant breathe in here",
    "the exhaust is coming in the car",
    "a shock that is leaking",
    "leaking, the right rear shock",
    "we have a bent spindle i think",
    "maybe a bent tie rod",
    "i think the track bar is broke",
    "not sure but the shock might be blown",
    "shocks might be gone",
    "birdcage gone",
    "panhard bracket tore loose",
    "pedal is real long",
    "pedal getting lower every lap",
    "brakes are mushy",
    "the throttle is hanging open",
    "my throttle stuck on me in 3",
    "steering locked up on me",
    "steering is really loose",
    "wheel is cocked to the left going straight",
    "brake pedal fell to the floor",
    "brakes quit",
    "left front caliper is leaking",
    "axle broke",
    "ball joint popped out",
    "driver passed out",
    "feel like im gonna throw up",
    "somebody hit me in the left rear",
    "got turned into the fence",
    "the rf tire blew out",
    "tire has a bulge",
    "rr is leaking air",
    "wheel bearing is going bad",
    "the hood is flapping",
    "fire under the hood",
    "pitman arm broke",
    "we bent the lower control arm",
    "the upper link is loose",
    "smells like gas in here",
    "motor blew up",
    "coolant on the track from us",
    "shock bolt fell out",
    "jack bolt came loose",
    "my feet are hot",
    "fuel leak",
]
NO_DANGERS = [
    "I have to crank the wheel coming off",
    "loose when the right rear wheel is coming off the corner",
    "the back is coming out",
    "loose",
    "the rear comes loose",
    "rear came loose off 4",
    "goes away after 30 laps",
    "tires are gone",
    "tires are burned off",
    "the rear gets loose and the right rear is hot",
    "steering heavy",
    "with the new shock it came loose off",
    "we changed the shock and it came loose off",
    "tight on the brake goes away after 30 laps",
    "the wheel came off the ground in turn 3",
    "wheel hop is bad",
    "bad wheel hop off",
    "almost hit the wall off 4",
    "so tight i about hit the wall",
    "pushes so bad its going to hit the wall",
    "im tired of it pushing",
    "the tires are tired",
    "overheating the right front",
    "i overheat the rf tire",
    "going in too hot it pushes",
    "soft on the brakes it is loose in",
    "off the brakes early and loose",
    "no leaks, loose off",
    "nothing is bent, tight in",
    "nothing came loose, its loose off",
    "shock isnt leaking, loose in",
    "loose at wide open throttle",
    "rear hangs out on the throttle",
    "stiffer spring made it loose",
    "softer rr spring loose off",
    "more bar loose off",
    "rear broke loose on the gas",
    "wheels broke loose off the corner",
    "pressures are up and it is tight",
    "lowered the rr pressure 2 psi, still loose",
    "too much steering lock in the middle",
    "turning the wheel a lot in the middle",
    "tight in on fresh tires, gone by lap 10",
    "the push goes away",
    "tail hangs out",
    "right rear goes away",
    "grip is gone",
    "it fires off loose",
    "the bite is gone off the corner",
    "braking hard it goes away from me",
    "hot tires make it loose",
    "sick of it being loose off",
    "spring change made it tight",
    "the right rear is hot",
    "no vibration, no smoke, loose off",
    "the long brake zone makes it loose in",
    "first part of the corner is bad",
    "the track is hot and slick",
    "hard on the brakes its loose in",
    "when i hit the brakes it gets loose",
    "when i hit the gas it goes loose",
    "loose on long runs, brakes fine",
    "shock change helped, still loose off",
    "track bar up made it tight",
    "the sway bar is too stiff, tight in",
    "raised the track bar and it came loose",
    "tightens up after 20 laps goes away by 30",
    "pushing goes away",
    "loose off, shocks are fine",
    "the brakes are good, loose in",
    "the pedal is firm",
    "i let off the brake and it comes loose",
    "comes around on me off 4",
    "steering is heavy in the middle",
    "steering gets heavy mid corner",
    "heavy steering",
    "wheel is turned right off the corner",
    "car is crooked off the corner",
    "it breaks loose on throttle",
    "the tires fall off bad",
    "tires went away",
    "lost the front",
    "lost the rear end off 2",
    "low on the track its tight",
    "long straight into a tight corner",
    "rear soft in the middle",
    "soft tires, loose",
    "not enough brake to turn in",
    "too much brake in the rear",
    "car is dead on",
    "the car is hot lap loose",
    "fade high off 2",
    "feels dead in the front",
    "front end is dead",
    "rear end is gone",
    "the right rear gave up",
    "driver error",
    "im loose",
    "i'm tight",
    "too hot track makes it tight",
    "goes away late in the run",
    "pressure is up on the right rear",
    "blew by me on the straight",
    "the setup is bad",
    "bad push in the middle",
    "loose off, goes to the floor with the throttle",
    "tight in when the tires are cold, then it gets better",
    "it pushes when the right front gets hot",
    "the car is hot and slick track makes it loose",
    "the rear is soft",
    "front springs are too soft",
    "long run tight",
    "brakes are a little long into 3",
    "it hangs up on the brake and pushes",
    "it sticks good on the bottom",
    "rear end sticks",
    "the right rear drops in the hole and it goes loose",
    "gone loose late",
    "tight and the wheel is heavy",
    "no brakes needed, floats in tight",
    "low air in the right rear makes it better",
    "lower the air in the right rear",
    "less air in the rr its loose",
    "car falls off bad after 20",
    "it falls off loose",
    "the right side tires are shot late in the run",
    "left rear feels dead",
    "right rear comes out",
    "the car is broke loose",
    "track is broke up in 3",
    "dead straight wheel on the straight",
    "the gas is too early",
    "right front locks up",
    "hang on to it off the corner",
    "i have to hang it out",
    "pulls up off the corner",
    "i cant stop it pushing",
    "loose off then the rear hooks up",
    "bent the car around the corner",
    "softer bar made it worse",
    "worse with the stiffer spring",
    "lost drive off",
    "lost time on the straight",
    "out of brake bias",
    "wheel goes straight and it pushes",
    "it pushes then comes around",
    "changed the bar, it came loose on exit",
    "pull bar change made it tight off",
    "more lead in the left rear its tight",
    "the lead car is loose",
    "lost the lead",
    "weight went to the right rear loose",
    "moved weight and its loose",
    "seat time is short, loose off",
    "throttle on early makes it push",
    "too much throttle hangs the tail out",
    "i hang on the brakes and it pushes",
    "long on the throttle",
    "steering gets light off",
    "steering right off 4",
    "shot off the corner loose",
    "dead last and loose",
]
LONG = "it is fine on the straight and " * 70


@pytest.mark.parametrize("text", DANGERS)
def test_a_danger_is_heard_in_any_order_of_words(text):
    assert read(text, PACK).said.safety


@pytest.mark.parametrize("text", NO_DANGERS)
def test_what_only_sounds_like_danger_stops_nobody(text):
    assert read(text, PACK).said.safety == ()


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("track bar came loose", "a part seen broken or loose"),
        ("something came loose", "a bent or loose part"),
        ("the pedal is going away", "a fault in the brakes"),
        ("the throttle hangs", "a fault in the throttle"),
        ("the steering is binding", "a fault in the steering"),
        ("the rf wont hold air", "a tire losing air"),
        ("fumes in the car", "fumes or fire"),
        ("the motor is overheating", "an engine running too hot"),
        ("i am getting dizzy", "a driver who is not well"),
        ("we tagged the wall", "a hit"),
    ],
)
def test_a_danger_is_named(text, sign):
    assert sign in read(text, PACK).said.safety


@pytest.mark.parametrize("text", ["track bar came loose", "right rear shock came loose", "the sway bar is loose"])
def test_a_part_that_came_loose_is_no_loose_car(text):
    assert read_complaint(text, PACK).cells == ()


def test_the_complaint_beside_a_danger_is_still_read():
    cells = read_complaint("tight in the middle, and the shock is leaking", PACK).cells
    assert {(cell.balance, cell.phase) for cell in cells} == {("tight", "middle")}


@pytest.mark.parametrize("danger", ["there is smoke", "a vibration", "the track bar came loose", "the pedal sinks"])
def test_a_danger_is_heard_behind_the_last_word_that_is_read(danger):
    reading = read(f"loose off late, {LONG}and {danger}", PACK)
    assert reading.said.safety
    assert reading.said.cut


def test_it_is_said_where_reading_stopped_early():
    complaint = read_complaint(f"loose off late, {LONG}", PACK)
    assert "all after word 400" in say_back(complaint)
    assert "all after word" not in say_back(read_complaint("loose off late", PACK))


def test_a_danger_far_behind_the_last_letter_that_is_read_is_heard():
    assert "vibration" in read("loose off, " + "x" * 30_000 + " and a vibration", PACK).said.safety


OVER_OR_NONE = [
    "we hit the wall two weeks ago, car was fine till tonight, now its loose off",
    "broke a rear end last month, been tight in ever since we put the new one in",
    "had a brake line leak in practice, fixed it, now it pushes in the middle",
    "tire went flat in the heat, put a spare on and now its loose off",
    "it was smoking in the heat but that was a loose oil fitting we fixed",
    "had a vibration earlier, balanced the tires and its gone. tight off",
    "the leader blew up and put oil down in 3, now im loose there",
    "somebody hit the wall in front of me and i had to check up, after that its tight",
    "other cars are hitting the wall off 4, we are just tight",
    "my buddy broke an axle, im just loose",
    "smoke was from the 7 car",
    "my spotter says he saw smoke but it was the car behind",
    "that guy's car is leaking oil, not ours",
    "nothing broke, nothing bent, we looked it all over. loose in",
    "got hit in the right rear, had it up on stands and everything is straight. loose off now",
    "checked for bent parts, found none. loose all over",
    "crew checked the steering, no play. pushes",
    "shakes a little over the bumps in 3 but its tight in the middle",
    "the bumps shake the car, loose over them",
    "replaced the broken shock and now its tight",
    "changed the blown shock, still loose",
    "swapped out the leaky caliper, brakes are good now, loose in",
    "we tightened the loose panhard bolt, now its better but tight off",
    "found a bent tie rod and replaced it, now it darts",
    "found the sway bar link broken and put a new one on, now its tight",
    "the brakes used to go soft, new fluid fixed it. loose in",
    "pedal was going away last week but we bled them",
    "bounced off the wall last week and squared it all up, now its tight",
    "clunk is gone since we tightened the link",
    "it jumps out from under me like a broken shock",
    "loose like a flat right rear",
    "handles like something is broke",
    "its like the brakes are stuck on",
    "could it be a bent axle? its loose all over",
    "do you think a shock is bad? tight in the middle",
    "can a bad shock make it loose",
    "smoked em in the heat, loose in the feature",
    "tires smoke when i get on it",
    "hit the seam in 1 and it jumps sideways",
    "the car is broke in now, loose off",
    "its killing the right front",
    "im about to blow a gasket its so tight",
    "drives me right into the wall off 4",
    "brakes are fine, pedal is hard, just loose in",
]
NOT_OVER = [
    "hit the wall off 4 and now it crabs",
    "tagged the wall last lap and its pushing now",
    "brake pedal went to the floor last time in",
    "brakes used to be good now the pedal is soft",
    "new shock is leaking already",
    "we replaced the tie rod and the steering still has play",
    "changed the shock and now its leaking",
    "fixed the leak but its leaking again",
    "it was fine in the heat, then something broke",
    "vibration got worse after we balanced the tires",
    "crew looked and the bracket is cracked",
    "they checked it and found a crack in the housing",
    "the pedal is long, we bled it and its still long",
    "feels like a tire is going flat",
    "feels like something broke in the rear",
    "i got hit in the left front and now it pulls right",
    "other car ran me into the wall and its tight",
    "the shock broke again",
    "welded the bracket and it broke again",
    "the leak is not fixed",
    "the shock is bent, need to get it replaced",
    "can i race with a cracked wheel",
    "its been leaking since last week",
    "somebody ran over my right rear and it wont turn",
]


@pytest.mark.parametrize("text", OVER_OR_NONE)
def test_a_danger_that_may_be_over_or_none_is_asked_about_and_stops_nobody(text):
    assert read(text, PACK).said.safety == ()


@pytest.mark.parametrize("text", NOT_OVER)
def test_a_danger_that_is_not_over_stops(text):
    assert read(text, PACK).said.safety


@pytest.mark.parametrize(
    "text",
    [
        "the pedal got long and now it plows into one",
        "squishy pedal, loose going in",
        "low pedal into 3",
        "brakes get weak going into the corner",
        "had to pump the brakes in",
        "pumped it up twice to get a pedal",
    ],
)
def test_a_pedal_that_is_not_there_stops_wherever_it_is_felt(text):
    assert read(text, PACK).said.safety == ("a fault in the brakes",)


@pytest.mark.parametrize(
    ("text", "balance"), [("he is wrecking loose", "loose"), ("wreckin loose getting in", "loose")]
)
def test_wrecking_loose_is_very_loose_and_no_hit(text, balance):
    complaint = read_complaint(text, PACK)
    assert not read(text, PACK).said.safety
    assert {(cell.balance, cell.severity) for cell in complaint.cells} == {(balance, 5.0)}


@pytest.mark.parametrize("text", ["gas pedal to the floor and loose off", "long brake zone, tight in"])
def test_a_foot_on_the_floor_and_a_long_braking_zone_stop_nobody(text):
    assert not read(text, PACK).said.safety


@pytest.mark.parametrize(
    "text",
    [
        "kid's under it on the floor jack, how much rr spring do i take out",
        "its on the floor jack with the kid under it",
        "guys under it on a jack",
        "jacked it up, kid is under it",
        "dad is under there, floor jack",
        "it's up on the floor jack, stands are in the trailer, the kid's under there",
        "dads under it now changing the rr spring",
        "my brother's still under the car, we took the rear springs out",
    ],
)
def test_somebody_under_a_car_on_a_jack_stops_in_any_order_of_words(text):
    assert UNDER_A_CAR in read(text, PACK).said.safety


@pytest.mark.parametrize(
    "text",
    [
        "he looked under it before, its fine now",
        "looked under it, its on the jack",
        "its up on the jack stands and the kid is under it",
        "no brake problems",
    ],
)
def test_who_looked_under_it_or_is_under_it_on_stands_is_in_no_danger(text):
    assert read(text, PACK).said.safety == ()


@pytest.mark.parametrize("text", ["gear oil smell", "grease all over the rf wheel", "grease inside the rr wheel"])
def test_what_leaks_from_an_axle_or_a_hub_is_a_fluid(text):
    assert "fluid or smoke" in read(text, PACK).said.safety


@pytest.mark.parametrize(
    ("text", "others"),
    [
        ("smells like hot gear oil", ()),
        ("rear end smells hot", ()),
        ("it smells hot", ("fumes or fire",)),
        ("smells like hot wiring", ("fumes or fire",)),
    ],
)
def test_hot_oil_or_a_hot_axle_is_a_fluid_and_no_fire(text, others):
    assert read(text, PACK).said.safety == (*others, "fluid or smoke")


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("brake peddle went clear to the floor going in to 3", "a fault in the brakes"),
        ("loose off and i think the right rears going down, it was 6 lbs low", "a tire losing air"),
    ],
)
def test_a_pedal_spelled_badly_and_a_number_behind_a_comma_hide_no_danger(text, sign):
    assert sign in read(text, PACK).said.safety


@pytest.mark.parametrize(
    "text", ["i float it in with no pedal and its just as bad", "everybody pulls us by three cars"]
)
def test_what_was_tried_without_brakes_and_being_outrun_stop_nobody(text):
    assert read(text, PACK).said.safety == ()


@pytest.mark.parametrize("text", ["tight in the middle, rf pressure was 12 hot", "rf 12 hot", "rf went down 4 pounds"])
def test_a_tire_that_is_hot_below_its_cold_pressure_loses_air(text):
    assert start(demo_case(), PACK, text).stop == StopReason((LOSES_AIR,))


@pytest.mark.parametrize(
    "text", ["tight, rf was 40 hot", "loose off, rr's six over", "we went down 4 pounds on the rf"]
)
def test_a_hot_pressure_above_the_cold_one_stops_nobody(text):
    assert start(demo_case(), PACK, text).stop is None


def test_a_hot_pressure_that_was_read_below_the_cold_one_stops_too():
    case = demo_case()
    low = case.setup.values["pressure_rf"] - 30000.0
    session = start(replace(case, measured=replace(case.measured, hot_pressure={"RF": low})), PACK, "tight off")
    assert session.stop == StopReason((LOSES_AIR,), "safety_kind")
    assert session.next_question() is None
    assert start(case, PACK, "tight off").reply("rf 12 psi hot").answers["safety_kind"] == "air"


@pytest.mark.parametrize(
    "text",
    [
        "only thing is a bent wheel we tossed",
        "thought the rack had packed in",
        "good other than the joint clunked",
    ],
)
def test_what_was_thrown_away_or_only_thought_is_asked_about_and_stops_nobody(text, knowledge):
    assert start(demo_case(), knowledge, f"loose off, {text}").stop is None


@pytest.mark.parametrize("text", ["good other than something clunks", "fine except the brakes went away"])
def test_what_is_wrong_now_stops_though_all_else_is_good(text, knowledge):
    assert start(demo_case(), knowledge, text).stop is not None
