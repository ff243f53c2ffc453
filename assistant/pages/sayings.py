"""What the talk says in answer to a line: sentences that hang on nothing, with places for names and numbers."""


# when a talk begins

ON_A_DEMO = "The car here is invented. Type mine to describe yours, or go on and look around."
LAST = "Your car used last: {0}, in {1}. halfturn demo opens the invented one."
NO_CONSOLE = "This console cannot move its cursor; going on line by line."
SET_ASIDE = "The notebook was damaged. It lies in {0} now; of its entries {1} could be read and were taken over."
BEGIN_NOT_SAVED = "Your own folder cannot be written to; nothing of this talk will be saved."
UNREAD = "Case {}, no run log fitted."
"""What is in use before anything is read: so that the first prompt need not wait."""
NOBODY_TYPES = "Nobody is typing; this is the advice for: {}."
WHERE_YOU_LEFT = "Where you left, with all you typed ({}). {}"
NOT_ANSWERED = "The last line was not answered any more; type it again: {}"
SAID_THEN = "You said then: {}."
GO_ON = ("yes", "no, begin a new one")
"""The answers to the offer to go on, in the order of their numbers."""
GO_ON_PROMPT = "1, 2, or what the car is doing"
DID_PROMPT = "1 to 6, or in your words (no begins a new talk)"

# what is asked, and when it ends

FIRST_PROMPT = "What is the car doing? (your words, help or quit)"
NOTE_WHAT = "Type note and what is to be kept, such as: note hot and slick, sun in the turns."
NOTED = "Noted; halfturn notebook lists it."
NOTHING_SAID = "Good running."
SAVED = "Saved; the next talk about this car offers to go on here."
NOT_KEPT = "Good running. Nothing of this talk is saved: your own folder cannot be written to."
NOT_ALL_KEPT = "Good running. Not all of this talk is saved: the notebook could not be written to."
NOT_FROM_HERE = "Not saved: the notebook cannot be written to. The talk goes on; note by hand what you want to keep."
STILL_THERE = "The talk from before is kept; the next talk about this car offers to go on with it."
STOPPED, STOPPED_AGAIN = "Stopped; say what the car does.", "Stopped; enough asks for it again."
NOTHING_ASKED = "Nothing is being asked. Ctrl-C once more, Ctrl-D or quit leaves."
LEFT_QUESTION = "Left the question."
QUESTION_PROMPT = "1 to {}, ?, back or enough"
SKIP_PROMPT, BACK_PROMPT = "1 to {}, skip or back", "1 to {}, or back"
LIST_PROMPT = "{0} or why {0} for more of it, {1}, more, ask, sheet, help, or new words"
STOP_PROMPT = "When it is mended: what the car does now, back or quit"
CHANGE_PROMPT = "What does it do now? (your words, make another, sheet, undo, show or quit)"
WORDS_PROMPT = "What does it do now? (your words, undo, show or quit)"
TYPE_NUMBER = "Type a number from 1 to {}; ? says what they mean, back goes one back, enough gives the advice now."
TYPE_AT_LIST = (
    "Type why, try or make with a number, more for other remedies, ask for more questions, sheet for a page to hand "
    "on, or what the car does now."
)
ASKED_BECAUSE, HOW_TO_TELL = "Asked because: {}", "How to tell: {}"
NEAREST = "Type the number that comes nearest; {} where you cannot say."
WHERE_TO_LOOK = "Where to look: {}"

# the car

NO_FIT = "no run log fitted"
IN_USE = "Case {}: {} on {}, setup {}; {}."
FITTED = "fitted to {} ({}, {})"
ANOTHER = "another {}"
WHAT_LEVERS_DO = "Working out what every lever does on this car"
WEIGHING_CARS = "Weighing plausible cars"
DRIVING_FOR_PAGE = "Driving the run ahead for the page"
READING_PROGRAM, READING_RULES = "Reading the program", "Reading the rules and the car"
WORKING_OUT_CAR, DRIVING_CARS = "Working out the car", "Driving plausible cars"
WEIGHING_CHANGES, SOLVING_CORNERS = "Weighing every change", "Solving the corners"
DRIVING_RUN, DRIVING_OTHER_AIR = "Driving the run", "Driving the run with other air"
DRIVING_BOTH, FITTING = "Driving both runs", "Fitting the run log"
"""What is being worked on, for who waits."""

# the questions and the list

LIST_WAITS = "The list is made anew with what the look found: answer first, or type enough."
NO_ADVICE = "There is no advice yet: say what the car does, then answer the questions, or type enough."
STILL_SOUND = (
    "You said before that the car was looked over and is sound: that is taken to hold. If not, say what is wrong."
)
ADDED = "Added to the complaint that stands: {}."
PUT_AWAY = "A new complaint; the answers to the old one are put away, and undo brings them back."
ASKED_ANEW = "That may be about the car, so it is asked from the beginning; undo brings the old answers back."
NONE_ANSWERED = "No question has been answered yet."
YOUR_ANSWERS = "Your answers so far; type change and a number to answer again:"
ANSWERS_GO = "The answers go from 1 to {}; type change alone to see them."
LITTLE_IS_LEFT = "Nothing that is left is worth your time: each cures less than once in 100."
ALL_OF_THEM = "That was all of them."
NUMBERS_GO, NO_CHOICE = "The numbers go from 1 to {}.", "There is nothing to choose from."
FOR_WHOM = "{}, {}:"
THEN = ", then "
MADE_ALREADY, GOES_BACK = "Made already: {}", "Takes back what was made: {}"
REST = "Weighed anew for the car as it is now, should it not be enough:"
NOT_AFTER = "A change has been made since: undo takes it out; else say what the car does now."
NO_SETUP = "That is no change of the setup: do it, run, and say what the car does then."
NOTHING_FOUND = (
    "Nothing more to look at from here, and what was told of is there all the same: have somebody who knows that part "
    "look at it before the car runs. Then say what it does."
)
AT_STOP = ("It is mended.", "That is not what I meant: nothing is broken, bent, loose, leaking or smoking.")
"""What may be said of a sign of danger that was read in the words."""
NO_MORE_TO_ASK = "There is nothing more to ask that would tell the causes apart."
SAY_WHAT = "Say what the car does, such as: loose off, pushes in the middle, loose on long runs, tight in, snaps."

# what is heard

TAKEN_AS = "Taken as: {}."
DID_YOU_MEAN = "I do not know {}; did you mean '{}'? yes does it."
NEED_MORE = "I need more than that: {}. Say it again with the answer in it."
ALONE = "{} alone says nothing of what the car does. {}"
NOT_MADE_OUT, HELP_TELLS = "I cannot make out {}.", "Type help for the commands."
AT_PLACE, OWN_PLACE = "at the {}", "your own lever"
SAID_PLACES = {"middle": "of the whole car"}
MENDED = "Good. Say what the car does now, in your words; back goes to the question of faults."
OWN_VALUE, GUESSED = "Yours, by the setup in use: {} {}.", " That is a guess until you measure it."
PRICE = "Number {0}, {1}. Over the run: {2}"
NO_PRICE = "A price in tires is that of a change: say what the car does, and every offer tells its own."
NONE_PRICED = "Nothing here has a price in tires that is computed; more shows what else there is."
ANSWER_FIRST = "Answer this, then comes the advice; enough asks no more."
TAKES_LONGER = "{0}: takes longer than there is time for ({1}); {2} only was said, and undo takes that back."
TELLS = "help {} tells what it means."
OWN_WORDS = "Type what the car does in your own words; a number picks an answer or a remedy."
ALSO = "Also: {}."
NO_HELP = "There is no help on {}."
HELP_MORE = "help all says what each of them does, help try more about try, help stagger what a word means."

# what was made, and taken back

NOTHING_TO_UNDO = "Nothing has been said or made yet that could be taken back."
NOTHING_BEFORE = "Nothing to go back to yet."
PUT_IN, TAKEN_OUT = "Made: {} {}", "Taken out: {}"
NOT_PUT_IN, NOT_TAKEN_OUT, NOT_TAKEN_DOWN = "Not made", "Not taken out", "Not taken down"
READ_AGAIN = "{}: the setup file was changed meanwhile ({}). It has been read again."
LEFT_AS_IT_IS = "Left as it is, for it was changed since: {}"
STILL_MADE, BACK_TO = "Still made: {}", "Back to what you said before: {}."
TAKEN_DOWN, TAKEN_BACK = "Taken down: {}.", "Taken back: {}."
FACT = "{} is {}"
CHECK_AGAIN = "Check again: {}."
MADE_HERE = "Made in this talk: {}"
AT_THE_START = "Back at the start."
SAY_NOW = "Say what the car does now."
STANDS_THERE = "It stands there already."
TWO_AT_ONCE = "Two changes at once cannot be told apart: one at a time, with a run between, tells more."
RUN_IT = "Run it and say what it did; undo takes it out again."
DONE = {"driving": "Taken down, that is driven now: {}", "repair": "Taken down as mended: {}", "undo": "Taken down: {}"}
"""What is said of something done that moves no lever, by its kind."""
WHAT_FOUND = "What did the look find?"
LOOK_FIRST = "{} Then say: looked, nothing wrong; or found it, once it is mended."
NOTHING_WRONG = "Looked, nothing wrong: {}"
FOUND = "found and mended ({})"
LEFT_OUT = "It was left out for this talk; it is taken as made all the same."
NO_HALF = "There is no legal step between; put back takes all of it out."
NOTHING_MADE = "Nothing has been made in this talk."
NOT_OF_THESE = "That is none of what was made last; put back alone takes all of it out."

# what it did

NOTHING_OPEN = "No change of this talk waits for an answer. Say what the car does, or make one first."
NOT_OF_CHANGE = "That says nothing of the change. Type felt and one of: {}; or what the car does now."

# what is told of the car

NONE_OR_NOT = "Is there 0 of it on the car, or may it not be touched? Type measured {0} 0, or we can't touch {0}."
KNOWN = "That is known already."
NO_VALUE = "No list of parts has {} in it."
ONLY, NOT_HERE_SAID = "{} only", "not here: {}"
OWN_LEVER = "{} is a lever of your own rules: take it out there."
OUT = "Left out from now on: {}. undo takes it back."
LEFT = "{} only, for this talk: what takes longer is left out. Left are {}. undo takes it back."
IS_CHANGE = "If it was changed to that: undo, and made {}."
TOLD_TAKEN = "Taken down: {}. undo takes it back."
SPREAD = "The times are taken as spread over the run, the first at its start and the last at its end."
WRONG = "Not taken down: {0}; {1}"
TYPE_AGAIN = "type it again"
AFTER_LAPS = ", after {} laps"
READ_BEFORE = "read before the last change"
SAME_LIST = "Nothing else comes first for it: the list stays, and enough shows it."
HOW_TO_READ = (
    "Type a tire and its inside, middle and outside: temps rf 210 205 190; or all twelve numbers, left front, right "
    "front, left rear, right rear. Inside is the edge toward the middle of the car. keep writes them into your car's "
    "file; rr 24.5 hot, stagger hot 2 3/8, cross 52.3 and lap times 15.6 15.7 are typed so too."
)
LOST = "Read the tires as soon as the car stops, in the pit lane, a needle at half the depth of the tread."
NO_READING = "Nothing was read yet: type temps for how."
SO_MANY_GUESSED = "{} values of the setup; show lists them, and measured tells one"
NOTHING_KNOWN = "Nothing was told of this car yet."

# what was read

DOUBT_TREAD = "{} F is hardly warmer than the air: type it with its unit, C or F, and it is taken."
DOUBT_HOT = "{0} hot at the {1} is less than its cold {2}: type it with its unit, and it is taken."
TEMPS_WANTED = ("three numbers are wanted for each tire", "such as temps rf 210 205 190")
EACH_WANTED = ("one number is wanted for each tire", "such as rr 24.5 hot, or all four in a line")
HEAT_WANTED = (
    "no tire holds that many psi, so say it when it is in kPa or bar",
    "a tread is told inside, middle and outside: temps rr 230 240 235",
)
ONE_WANTED = ("one number is wanted", "such as stagger hot 2 3/8")

# the questions about a car of one's own

FIVE_QUESTIONS = "A name and five questions about your car; all asks all {}."
EVERY_QUESTION = "{} questions about your car."
COUNTED = "{} of {}"
GUESS_PROMPT = "(Enter for a guess: {}; ? or back)"
LEFT_CAR = "Left the questions about your car; no file was written. mine goes on with them, answers and all."
CAR_NOT_SAVED = "Your car is on the bench. It could not be saved: your own folder cannot be written to."
CAR_SAVED = "Your car is on the bench, and in {}; halfturn {} opens it again."
OTHER_WAY_ROUND = "That is the other way round than usual: {}"
ODD_STAGGER = "it is right rear minus left rear, and for left turns the right one is the larger. Keep {}?"
ODD_LEFT = "left is LF and LR together, and a car that turns left has more than half of its weight there. Keep {}?"
ODD_BANKING = "a negative banking falls away to the outside of the turn. Keep {}?"
NONE_OF_THEM = "{} is none of them; type a number:"
BANKING_LEFT = "The banking was not said: {} is taken, as a guess. back asks again: length, banking."
GUESSES = (
    "Enter takes what stands in the prompt, as a guess; a guess widens every answer that hangs on it. What is not "
    "asked is taken from the invented car. Ctrl-C leaves."
)
CAR_TAKEN = (
    "Engine, gears and rules in it are those of the invented car, and its rear end is taken to be locked: what is said "
    "of gears, fuel and lap times is not of your car until you put in your own."
)
SAY_MORE = "Tell more when you know it, such as: measured rr spring 225. show lists what is guessed."
DOUBT_PROMPT = "(Enter or yes keeps it; no asks again; or type what it is)"

# screens

NO_COMPARISON = "Its effect cannot be computed; nothing to compare."
BALANCE_NOW = "Balance as believed now, in percent of grip:"
DIFFERENCES = "Differences between cells say more than the numbers themselves."
TOLD_BEFORE = "What you told me before counts; this is another question:"
HELP_LISTS = "help lists the words that can be explained."
UNKNOWN_WORD, NOT_IN_SETUP = "Nothing is known about {}; {}", "The setup says nothing of {}."
LEVERS_LISTED = "levers all lists them"
NO_TIRE_READ = "No tire has been read yet: type temps for how."
NOT_MADE = "Nothing has been changed; {} puts it into the setup."
BY_THE_BOOK = "The model does not compute it; levers {} says what it does by the book."
READ_FIRST = "A reading sets it, not the feel, and nobody has taken one here yet: that counts against it."
NOT_WEIGHED = (
    "It cannot be weighed here: nothing to cure was read, or no plausible car does all that was said. try {} {} shows "
    "what it does by itself."
)
NO_WAY_BACK = "No change was told or made here that goes back. made and what you did tells of one."
TRIED = "Made before for this, and it did not help ({}): that way it is not offered again."
ON_THE_LIST = "It is number {} on the list."
BEST_OF_IT = "Not on the list. The most its usual change does: "
TOO_FAR = "Nobody moves that much at once; {} is the most that is sensible, and numbers beyond it mean little."
PLACED = "The setup alone does not tell where a car stands; the words put it there."
NO_SHEET = "There is nothing to put on a page yet: say what the car does first."
NO_SUCH_CAUSE, CAUSE_MEANT = "No cause is called {}.", "Did you mean causes {}?"
LIKELIEST_CAUSES = "Type causes alone for the likeliest, and a word of its name for any other."
WHICH_CAUSE = "Which one? Type causes and its name:"
NOT_A_CAUSE_HERE = "Not weighed here, since it makes no such complaint: {}."
NO_CAUSES = "Say what the car does first; then causes can be weighed."
PAGE_WRITTEN = "Written to {}; {}"
OTHER_PAGE = "name a page that is not there yet and ends in .html or .md, such as sheet second-run.html"
NO_PAGE, NO_PAGE_NAME = f"{{}}: {{}}; {OTHER_PAGE}.", f"No file can be called {{}}; {OTHER_PAGE}."
NOT_AS_IT_WAS = "The car is not what it was in that talk ({}), so a new one begins."

# what is kept on the disk

COPY_NOT_SAVED = "Not saved: your own folder cannot be written to; note it by hand."
SAVED_IN, KEPT_IN, THE_COPY = "Saved in {}.", "Kept in {}.", "the copy"
SETUP_NOT_SAVED = "Not saved: the setup file could not be edited; note it by hand."
CASE_NOT_SAVED = "Not saved: {} could not be edited; write it there under '{}' by hand."
READINGS_NOT_KEPT = "Not kept: the block 'measured' of {} could not be edited without harm; put them in by hand."
NOT_WRITTEN = "Not kept: {} cannot be written to ({})."
FIT_NOT_KEPT = "Not kept: your own folder cannot be written to."
FIT_IN_COPY = "The car here came with the program, so a copy of it uses the fit: halfturn talk {}."
DEMO_STAYS = "The demo itself stays as it was."
IN_THE_WAY = "Not kept: {} is there already and is no fit; rename it or take it away."
FIT_BACK = "Take the line 'fit: {}' out of {} to go back to the files as they are."
FIT_IN_USE = "Kept in {}, which the case already uses."
OTHER_FIT = "The case uses another fit, '{}'; write 'fit: {}' there to use this one."
FIT_ADDED = "Kept in {}; the line 'fit: {}' was added to {}."
ADD_FIT = "Add the line 'fit: {}' to {} to use it."
IN_A_COPY = "The car here came with the program, so a copy of it is kept; halfturn talk {} opens it."
ONLY_NOW = "For this talk only: the car here came with the program, and its files stay as they are."
MORE = "-- {} more: Enter, or q to stop -- "

# what a command answers

ABOUT = "Say what the car does; it says what to change, how far, and what that costs."
EXITS = (
    "With no command it talks with you. "
    "Exit codes: 0 done, 1 the answer is no, 2 bad usage or input, 130 left with Ctrl-C."
)
OTHER_WORDS = '; what the car does is more than one word: halfturn "loose off late"; your cars: halfturn cars'
FROM_TO = "{}: from {} to {}."
NOTHING_TAUGHT, DRY_RUN = "Nothing to keep.", "Nothing was written (--dry-run)."
BOTH_ALIKE = (
    "The model does not compute this lever, so both runs are driven alike; halfturn levers CASE LEVER says what it "
    "does by the book."
)
SEATS_ALONE = (
    "Springs swapped, seats left alone: the car is not scaled again, so a stiffer one adds load at its corner."
)
ALL_OF_ADVICE = "{} shows the whole list with every cost; {} asks, compares and makes what is on it."
STILL_OPEN = "Still open, and most likely to change this:"
AND_LESS = "And {} that would tell less; halfturn talk asks what is worth asking."
FACTS_OF = "Number {} "
LEFT_UNWRITTEN = "Left; nothing was written."
NO_PACK_YET = "Rules are read from a pack, and this folder is none yet: halfturn new pack -o {} makes it one."
FILL_IN = "Fill it in, then look for mistakes: halfturn check {}"
NOT_SHOWN, TO_MEND = "Not shown: {}; --all shows everything.", "{} to mend."
MORE_TO_MEND = "More may show then: the examples of a pack left out were not run."
HELP_PAGES = "Pages: {}. Type halfturn help and a command, a page or a word."

# the commands of a talk

TALK_COMMANDS = """
The questions:
? | ? | | what the choices mean, and why it is asked
back | back | | one answer back; back 3 goes back three
change | change 2 | | answer question 2 again; change alone lists your answers
enough | enough | advice, advise, skip, that's all, thats all, that's all i got, thats all i got | no more
    questions: the advice now
ask | ask | more questions, ask more | more questions, as long as one could tell something
temps | temps rf 210 205 190 | temperatures, tire temps, tyre temps | tire temperatures, one tire or all four: inside,
    middle, outside
keep | keep | | write what was read into your car's file, for the next talk; after several changes at once, keep stagger
    puts back the others
The advice:
why | why 2 | | what is behind number 2; why 2 all tells all of it, why 2 not 3 compares
why not | why not stagger | | why something is not on the list, or where it stands there
try | try 2 | what if, what about | the balance before and after number 2, or after a change in your words: try track
    bar right down 1/2
made | made stagger 2 | i made, we made, set | put a change of your own into the setup: made track bar right down 1/2,
    made rr pressure 20
make | make 2 | | put number 2 into the setup
undo | undo | | take back the last change, answer or complaint
more | more | | the next remedies
causes | causes | cause, why cause | what may be behind it, each sum line by line; causes sway bar for others
severity | severity | | what 1 to 5 of 5 mean on this car
sheet | sheet | | the page to hand to somebody else; sheet FILE.md names it
felt | felt better | | what the change did: fixed, better, same, worse; and what it does now
half | half | | take half of what was made last back
note | note hot and slick | | keep a note of the weather, the track or anything else
put back | put back | put it back, back it out, take it out | take out what was made last, as a change of its own; of
    several changes one: put back stagger
The car:
show | show | setup | the setup, in the order you walk round the car
balance | balance | grid | what the model says of the balance now
levers | levers | | what adjustments do, the strongest; levers all, levers stagger for one in full
forecast | forecast | | the run ahead; also with {}
tires | tires | tyres | what the tire temperatures say
corner | corner | | the car at its limit; also with {}
mine | mine | my car, new car | describe your own car by five questions; mine all asks all there are
known | known | what have you got, what do you know, what have i told you, what did i tell you | what was told of this
    car: words, answers, readings, changes, what it has not
cars | cars | | list your cars
open | open NAME | | go on with another car of yours, or with demo
measured | measured stagger 2 | i measured | tell what the car has, where it was a guess: measured rr spring 225
Looking up and leaving:
explain | explain stagger | define | what a word, a lever or a cause means; alone it lists them
limits | limits | | what the model does not know
help | help | h | what can be typed; help all tells of every command, help try of try
quit | quit | exit, q, :q, bye, stop | leave; the next talk offers to go on; exit, q and Ctrl-D do the same
"""
"""Groups of commands, one a line: its name, how it is shown, other ways to type it, what it does."""
