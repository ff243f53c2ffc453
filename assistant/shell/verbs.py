"""What can be typed besides an answer: each command of a talk, how it is spelled, what it does; how it is told apart.

A verb with words behind it that it does not take is no command: "back end steps out" is a complaint.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.diagnosis.stems import distance
from assistant.ground.folders import doc_pages, own_cars
from assistant.ground.names import STAGES
from assistant.ground.words import nearest, quoted
from assistant.pages import packs as lookup
from assistant.pages.blocks import ALL, CORNER, FORECAST, Block, Line
from assistant.shell import changes, interview, screens, told
from assistant.shell.dialogs import NUMBER_WORDS
from assistant.shell.talk_state import TalkState

if TYPE_CHECKING:
    from assistant.rules.knowledge import Knowledge

CHANGE = r"(?!.*\b(?:loose|tight|push|free|snap)).{0,60}"
"""A change in the user's own words: what tells how the car runs is none."""
OWN_WORDS = "Type what the car does in your own words; a number picks an answer or a remedy."


@dataclass(frozen=True)
class Verb:
    """One command. takes: pattern of what may follow. example: as shown in help. says: one line of help.

    exact: what follows is kept as it was typed, for names of files. parts: words that may follow, for a slip in one.
    does: answers it; None where only the conversation itself can. writes: whether it writes on the disk.
    """

    name: str
    example: str
    says: str
    takes: str = ""
    also: tuple[str, ...] = ()
    exact: bool = False
    parts: tuple[str, ...] = ()
    does: Callable[[TalkState, str], list[Block]] | None = None
    writes: bool = False


@dataclass(frozen=True)
class Typed:
    """A line that is a command: its verb and what followed."""

    verb: str
    rest: str = ""


def either(words: tuple[str, ...]) -> str:
    """Write the pattern that one of the words matches."""
    return f"({'|'.join(words)})"


def help_screen(state: TalkState, rest: str) -> list[Block]:
    """`help`, `help all`, `help try`, `help stagger`, `help coach`."""
    if rest and (verb := verb_named(rest)) is not None:
        return [
            Line(f"{verb.example}: {verb.says}."),
            *([Line("Also: " + ", ".join(verb.also) + ".")] if verb.also else []),
        ]
    blocks: list[Block] = []
    if rest not in {"", ALL}:
        found = lookup.explain(rest, state.bench.knowledge)
        if found is not None:
            return found.blocks
        if (page := doc_pages().get(rest)) is not None:
            return [Line(row) for row in page.read_text(encoding="utf-8").splitlines()]
        blocks.append(Line(f"There is no help on {quoted(rest)}."))
    return [*blocks, *(every_verb() if rest == ALL else first_verbs())]


def first_verbs() -> list[Block]:
    """What a newcomer needs, a line each; the others by name."""
    named = {verb.name: verb for verb in VERBS}
    rest = ", ".join(verb.example for verb in VERBS if verb.name not in FIRST)
    return [
        Line(OWN_WORDS),
        *(Line(f"{named[name].example}: {named[name].says}.", indent=2) for name in FIRST),
        Line(f"Also: {rest}."),
        Line("help all says what each of them does, help try more about try, help stagger what a word means."),
    ]


def every_verb() -> list[Block]:
    """Every command with what it does, in groups."""
    blocks: list[Block] = [Line(OWN_WORDS)]
    for group, verbs in GROUPS.items():
        blocks += [Line(f"{group}:", mark="heading")]
        blocks += [Line(f"{verb.example}: {verb.says}.", indent=2) for verb in verbs]
    return blocks


GROUPS: Mapping[str, tuple[Verb, ...]] = {
    "The questions": (
        Verb(
            "?",
            "?",
            "what the choices mean, and why it is asked",
            does=lambda state, _: interview.question_explained(state),
        ),
        Verb("back", "back", "one answer back; back 3 goes back three", r"(\d+)?", does=changes.back),
        Verb(
            "change",
            "change 2",
            "answer question 2 again; change alone lists your answers",
            r"(\d+)?",
            does=interview.change,
        ),
        Verb(
            "enough",
            "enough",
            "no more questions: the advice now",
            also=("advice", "advise", "skip"),
            does=interview.enough,
        ),
        Verb(
            "ask",
            "ask",
            "more questions, as long as one could tell something",
            also=("more questions", "ask more"),
            does=interview.ask_on,
        ),
        Verb(
            "temps",
            "temps rf 210 205 190",
            "tire temperatures, one tire or all four: inside, middle, outside",
            r"(?:[\d.,;:/|= °-]|\b(?:[lr][fr]|f[lr]|rl|left|right|front|rear|and)(?![a-z])|[fc](?![a-z]))*",
            also=("temperatures", "tire temps", "tyre temps"),
            does=told.how_to_read,
        ),
        Verb("keep", "keep", "write what was read into your car's file, for the next talk", does=told.keep),
    ),
    "The advice": (
        Verb(
            "why",
            "why 2",
            "what is behind number 2; why 2 all tells all of it, why 2 not 3 compares",
            rf"(\d+( not \d+| {ALL})?)?",
            does=screens.why,
        ),
        Verb(
            "why not",
            "why not stagger",
            "why something is not on the list, or where it stands there",
            ".{1,60}",
            does=screens.why_not,
        ),
        Verb(
            "try",
            "try 2",
            "the balance before and after number 2, or after a change in your words: try track bar right down 1/2",
            CHANGE,
            also=("what if", "what about"),
            does=screens.try_it,
        ),
        Verb(
            "made",
            "made stagger 2",
            "put a change of your own into the setup: made track bar right down 1/2, made rr pressure 20",
            CHANGE,
            also=("i made", "we made", "set"),
            does=changes.made,
            writes=True,
        ),
        Verb("make", "make 2", "put number 2 into the setup", r"(\d+)?", does=changes.make, writes=True),
        Verb("undo", "undo", "take back the last change, answer or complaint", does=changes.undo, writes=True),
        Verb("more", "more", "the next remedies", does=interview.more),
        Verb(
            "causes",
            "causes",
            "what may be behind it, each sum line by line",
            also=("cause", "why cause"),
            does=screens.causes,
        ),
        Verb("severity", "severity", "what 1 to 5 of 5 mean on this car", does=screens.severity),
        Verb(
            "sheet",
            "sheet",
            "the page to hand to somebody else; sheet FILE.md names it",
            r"(.+)?",
            exact=True,
            does=screens.sheet,
        ),
        Verb(
            "felt",
            "felt better",
            "what the change did: fixed, better, same, worse; and what it does now",
            r"(.+)?",
            exact=True,
        ),
        Verb("half", "half", "take half of the last change back", does=changes.half, writes=True),
        Verb(
            "note", "note hot and slick", "keep a note of the weather, the track or anything else", r"(.+)?", exact=True
        ),
        Verb(
            "put back",
            "put back",
            "take the last change out, as a change of its own",
            also=("put it back", "back it out", "take it out"),
            does=changes.put_back,
            writes=True,
        ),
    ),
    "The car": (
        Verb("show", "show", "the setup, in the order you walk round the car", also=("setup",), does=screens.show),
        Verb("balance", "balance", "what the model says of the balance now", also=("grid",), does=screens.balance),
        Verb(
            "levers",
            "levers",
            "what adjustments do, the strongest; levers all, levers stagger for one in full",
            r"(.{1,40})?",
            does=screens.levers,
        ),
        Verb(
            "forecast",
            "forecast",
            f"the run ahead; also with {', '.join(FORECAST)}",
            f"{either(FORECAST)}?",
            parts=FORECAST,
            does=screens.forecast,
        ),
        Verb("tires", "tires", "what the tire temperatures say", also=("tyres",), does=screens.tires),
        Verb(
            "corner",
            "corner",
            f"the car at its limit; also with {', '.join((*STAGES, *CORNER))}",
            f"{either(STAGES)}? ?{either(CORNER)}?",
            parts=(*STAGES, *CORNER),
            does=screens.corner,
        ),
        Verb(
            "mine",
            "mine",
            "describe your own car by five questions; mine all asks all there are",
            f"({ALL})?",
            also=("my car", "new car"),
        ),
        Verb(
            "known",
            "known",
            "what was told of this car: words, answers, readings, changes, what it has not",
            also=("what have you got", "what do you know", "what have i told you", "what did i tell you"),
            does=told.known,
        ),
        Verb("cars", "cars", "list your cars"),
        Verb("open", "open NAME", "go on with another car of yours, or with demo", ".{1,80}", exact=True),
        Verb(
            "measured",
            "measured stagger 2",
            "tell what the car has, where it was a guess: measured rr spring 225",
            CHANGE,
            also=("i measured",),
            does=changes.measured,
            writes=True,
        ),
    ),
    "Looking up and leaving": (
        Verb(
            "explain",
            "explain stagger",
            "what a word, a lever or a cause means; alone it lists them",
            r"(.+)?",
            also=("define",),
            does=screens.explain,
        ),
        Verb("limits", "limits", "what the model does not know", does=screens.limits),
        Verb(
            "help",
            "help",
            "what can be typed; help all tells of every command, help try of try",
            r"(.{1,40})?",
            also=("h",),
            does=help_screen,
        ),
        Verb(
            "quit",
            "quit",
            "leave; the next talk offers to go on; exit, q and Ctrl-D do the same",
            also=("exit", "q", ":q", "bye", "stop"),
        ),
    ),
}
FIRST = ("?", "back", "enough", "why", "try", "make", "undo", "more", "mine", "quit")
"""Commands a newcomer needs."""
MOVES = ("back", "change", "enough", "ask", "temps", "undo", "measured", "felt", "mine")
"""Commands that a talk taken up again needs; what changes the car stands in the notebook, and screens move nothing."""
VERBS: tuple[Verb, ...] = tuple(verb for verbs in GROUPS.values() for verb in verbs)
OWN_WORDS_BEHIND = ("try", "made", "measured", "why not")
"""Commands with words of the user's own behind them: what tells how the car runs comes first."""
_BY_SPELLING = {spelling: verb for verb in VERBS for spelling in (verb.name, *verb.also)}
_LONGEST_FIRST = sorted(_BY_SPELLING, key=len, reverse=True)
_QUESTION = re.compile(r"what(?:'?s| is| are| do| does| if)\b|(?:how|why|which|who|should|can|could|shall)\b|.*\?$")
_OK = r"(?:(?:ok|okay|alright|so|yes|yeah|well|then) )*"
_DO_ONE = re.compile(rf"{_OK}(?:(?:i ?'?ll|i will|let'?s|lets) )?(?:just )?do (\d+)(?: then| now)?|{_OK}i did (\d+)")
_HOW_ONE = re.compile(rf"{_OK}how (?:do|would|should|can) i (?:do|make) (\d+)")
_SOUNDS = dict.fromkeys(("enuff", "enuf", "nuff", "enought"), "enough")
"""Words written as they sound, too far from a command for the spelling to tell."""
_SAME_PART = {"tyres": "tires", "tyre": "tires", "tire": "tires"} | dict.fromkeys(
    ("fuel", "balance", "pressure", "pressures"), ""
)
"""Other words for a part of a screen; "" where the screen shows it without a part."""


def spellings() -> tuple[str, ...]:
    """Every way to spell a command, for completion and for the nearest one."""
    return tuple(_BY_SPELLING)


def typed_whole(knowledge: Knowledge | None) -> tuple[str, ...]:
    """Every line Tab may complete: commands, their parts, and what is known behind those that take a word."""
    commands = tuple(verb.name for verb in VERBS if verb.name != "?")
    parts = tuple(f"{verb.name} {part}" for verb in VERBS for part in verb.parts)
    if knowledge is None:
        return (*commands, *parts)
    levers = tuple(lever.replace("_", " ") for lever in knowledge.levers)
    words = {
        **dict.fromkeys(("levers", *OWN_WORDS_BEHIND), levers),
        **dict.fromkeys(("explain", "help"), (*levers, *knowledge.glossary)),
        "open": tuple(own_cars()),
    }
    behind = tuple(f"{name} {word}" for name, known in words.items() for word in known)
    return (*commands, *knowledge.symptoms, *parts, *behind)


def verb_named(word: str) -> Verb | None:
    """Find a verb by any of its spellings."""
    return _BY_SPELLING.get(word.lower())


def read_line(text: str) -> Typed | None:
    """Tell a command from everything else: "Why 2, not 3?" is why 2 not 3; "back end steps out" is not a command."""
    plain = " ".join(text.lower().replace(",", " ").replace("#", " ").split())
    if plain and not plain.strip("?"):
        return Typed("?")
    plain = re.sub(r"^([a-z]+)(\d+)$", r"\1 \2", plain.rstrip("?.! "))
    plain = _said_plainly(plain)
    plain = re.sub(r"\d{7,}", "999999", plain)  # no list is that long, and Python reads no number of 5000 digits
    if plain in _BY_SPELLING:
        return Typed(_BY_SPELLING[plain].name) if re.fullmatch(_BY_SPELLING[plain].takes, "") else None
    word = next((one for one in _LONGEST_FIRST if plain.startswith(f"{one} ")), "")
    verb = _BY_SPELLING.get(word)
    if verb is None:
        return None
    rest = plain[len(word) :].strip()
    if verb.exact:
        return Typed(verb.name, text.strip()[len(word) :].strip())
    rest = " ".join(NUMBER_WORDS.get(part, part) for part in rest.split())
    rest = re.sub(r"\b(number|no|nr)\.? (?=\d)", "", rest)
    if verb.parts:
        rest = " ".join(_SAME_PART.get(part, part) for part in rest.split()).strip()
    return Typed(verb.name, rest) if re.fullmatch(verb.takes, rest) else None


def _said_plainly(plain: str) -> str:
    """Take "ok I'll do one" for make 1, and "how do I do 1" for why 1."""
    counted = " ".join(NUMBER_WORDS.get(word, word) for word in re.sub(r"\b(?:number|no|nr) (?=\d)", "", plain).split())
    if made := _DO_ONE.fullmatch(counted):
        return f"make {made[1] or made[2]}"
    how = _HOW_ONE.fullmatch(counted)
    return f"why {how[1]}" if how else plain


def is_no_complaint(text: str) -> bool:
    """Whether a line is a question, or a command with numbers it does not take, whatever words are in it."""
    plain = " ".join(text.lower().split())
    command = re.fullmatch(r"([a-z]+)(?: (?:not )?\d+)+", plain.replace(",", " "))
    return bool(_QUESTION.match(plain)) or (command is not None and command[1] in _BY_SPELLING)


def nearest_verb(text: str) -> str | None:
    """Find the command a line was most likely meant to be, written as it can be typed: "show me it" is show."""
    word, _, rest = text.strip().lower().partition(" ")
    found = _SOUNDS.get(word) or _nearest(word, rest)
    if found is None:
        return None
    verb = _BY_SPELLING[found]
    if re.fullmatch(verb.takes, rest):
        return f"{found} {rest}".strip()
    part = nearest(rest, verb.parts) if verb.parts else None
    if part is not None:
        return f"{found} {part}"
    return verb.example if found == word else None


def _nearest(word: str, rest: str) -> str | None:
    """Find the nearest spelling; of two or three letters only before a number, as in "wy 1" and "tri 2"."""
    if len(word) > 2 and (found := nearest(word, spellings())):
        return found
    takers = [name for name in ("why", "try", "make") if rest.isdigit() and distance(word, name, 1) <= 1]
    return takers[0] if takers else None
