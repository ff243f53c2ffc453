"""The questions about one's own car: what to show, what a typed line does, where it is kept.

An answer that is possible, but the other way round than usual on a car that turns left, is asked about once.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from shutil import rmtree

from assistant.car.case import Case
from assistant.car.files import read_case
from assistant.car.own_car import QUESTIONS, SHORT_QUESTIONS, Ask, CarAnswer, CarInterview, banking_left
from assistant.car.own_car_files import own_car_files, own_case
from assistant.ground.choosing import NUMBER_WORDS, asks_how, is_at_a_loss, number_in
from assistant.ground.folders import is_there, user_folder, write_all
from assistant.ground.names import quoted
from assistant.ground.problems import BadInput
from assistant.ground.units import System, show
from assistant.pages import sayings
from assistant.pages.blocks import BLANK, Block, Choices, Line
from assistant.shell.dialogs import Dialog

_ABOUT = re.compile(
    r"(?:it'?s |it is )?"
    r"(?:(?:(?:(?:i )?(?:think|guess)|maybe|about|bout|like|around|roughly|approx\w*|ca|say)\b\.?|~)\s*)*(\S.*?)"
    r"(?:[ -]?ish|,? (?:or so|i think|i guess|maybe|probably|or thereabouts))?"
)
_LEAD_IN = re.compile(r"[a-z' ]*\b(?:is|are|weighs?|runs?|has|have|for|of|its|it's|got|do|only|just)\s+(?=\D{0,20}\d)")
"""What stands before the one number that is asked for: "a feature is 50"."""
_PLAIN = re.compile(r"(?:it'?s |it is )?(\S.*)")
_TENS = {word: 10 * at for at, word in enumerate(("twenty", "thirty", "forty", "fifty", "sixty", "seventy"), 2)}
_TENS |= {"ten": 10, "eighty": 80, "ninety": 90, "a hundred": 100, "hundred": 100}
_TEENS = ("eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen")
_TENS |= {word: at for at, word in enumerate(_TEENS, 11)}
_ONES = "|".join(NUMBER_WORDS)
_WRITTEN = re.compile(rf"\b(?:({'|'.join(_TENS)})(?:[ -]({_ONES}))?|({_ONES}))\b")


ALL = "all"
KEEP = frozenset({"", "yes", "y", "yep", "yeah", "ok", "keep", "keep it"})
AGAIN = frozenset({"no", "n", "nope", "back"})


class OwnCarDialog(Dialog):
    """The questions being asked. `case` is there once all are answered; `folder` is where its files are.

    home: the folder to make the car's own folder in; None where nothing can be written.
    """

    left = sayings.LEFT_CAR
    takes_all = True

    def __init__(self, system: System, home: Path | None, questions: tuple[Ask, ...] = SHORT_QUESTIONS) -> None:
        self.interview = CarInterview(system, questions=questions)
        self.case: Case | None = None
        self.folder: Path | None = None
        self._home = home
        self._doubted: CarInterview | None = None  # the step an unusual answer leads to, until it is kept
        self._told: set[str] = set()  # questions whose answer was doubted: once is enough
        self._missed = 0  # lines in a row that are no answer
        self._stand()

    def _stand(self) -> None:
        """Take the prompt and the answers of what is asked now; the prompt shows the default, which Enter takes."""
        ask, doubted = self.interview.next_question(), self._doubted is not None
        self.answers = () if ask is None else tuple(one.says for one in ask.choices)
        self.words = ("yes", "no", "back", "quit") if doubted else ("not sure", "back", "quit")
        self.prompt = sayings.DOUBT_PROMPT if doubted else sayings.GUESS_PROMPT.format(self.interview.default())
        self.is_over = self.case is not None

    def ask_as_many_as(self, questions: tuple[Ask, ...]) -> None:
        """Ask all questions where all are wanted, and go on behind what was answered."""
        if len(questions) > len(self.interview.questions):
            self.interview = replace(self.interview, questions=questions)
            self._stand()

    def explained(self) -> list[Block]:
        """Say what the open question asks for."""
        ask = self.interview.next_question()
        return [] if ask is None else [Line(ask.help)]

    def opening(self) -> list[Block]:
        """Say what comes, and ask the first question."""
        every = len(self.interview.questions) == len(QUESTIONS)
        said = (sayings.EVERY_QUESTION if every else sayings.FIVE_QUESTIONS).format(len(QUESTIONS))
        return [Line(f"{said} {sayings.GUESSES}"), *self.again()]

    def say(self, text: str) -> list[Block]:
        """Take one line: an answer, ?, back, or nothing for the default."""
        blocks = self._hear(text)
        self._stand()
        return blocks

    def _hear(self, text: str) -> list[Block]:
        words = text.strip().lower().split()
        if self._doubted is not None and words != ["?"]:
            doubted, self._doubted = self._doubted, None
            if " ".join(words) in KEEP:
                return self._go_on(doubted)
            if " ".join(words) in AGAIN:
                return self.again()
        if words and words[0] in {"back", "undo"} and len(words) <= 2 and all(word.isdecimal() for word in words[1:]):
            self.interview = self.interview.back(int(words[1][:6]) if len(words) == 2 else 1)
            return self.again()
        if words == ["?"] or words[:1] == ["help"] or asks_how(text):
            return [*self.explained(), *self._choices()]
        if words == [ALL]:
            self.ask_as_many_as(QUESTIONS)
            return self.again()
        return self._take(text)

    def _take(self, text: str) -> list[Block]:
        """Take an answer; one that cannot be read is told, one the other way round than usual is asked about once."""
        try:
            answered = self.interview.answer(self._plain_answer(text))
        except BadInput as mistake:
            ask = self.interview.next_question()
            if ask is not None and ask.choices and "," in text:
                return self._take(text.partition(",")[0])  # "asphalt, 3/8 mile": the rest is asked next
            return self._refused(text, mistake)
        given, self._missed = answered.given[-1], 0
        doubt = "" if given.id in self._told else doubt_of(given, self.interview.system)
        if not doubt:
            left = banking_left(self._plain_answer(text), self.interview.system) if given.id == "track" else ""
            taken = [Line(sayings.BANKING_LEFT.format(left))] if left else []
            return [*taken, *self._taken_as(text, answered), *self._go_on(answered)]
        self._doubted = answered
        self._told.add(given.id)
        return [Line(doubt)]

    def _refused(self, text: str, mistake: BadInput) -> list[Block]:
        """Say why a line is no answer; from the second in a row on also how to find out."""
        self._missed += 1
        ask = self.interview.next_question()
        help_ = [Line(ask.help)] if ask is not None and self._missed > 1 else []
        if self._choices():
            return [Line(sayings.NONE_OF_THEM.format(quoted(text))), *help_, *self._choices()]
        says = [f"{one.says}; {one.hint}." if one.hint else one.says for one in mistake.problems]
        return [*map(Line, says), *help_]

    def _choices(self) -> list[Block]:
        """List what the open question may be answered with by number."""
        ask = self.interview.next_question()
        return [] if ask is None or not ask.choices else [Choices(tuple(one.says for one in ask.choices))]

    def _taken_as(self, text: str, answered: CarInterview) -> list[Block]:
        """Show what was understood, where it is not just what was typed."""
        shown = answered.shown()
        typed = "".join(re.findall(r"[a-z0-9.]", text.lower()))
        is_same = typed in "".join(re.findall(r"[a-z0-9.]", shown.lower())) and not answered.given[-1].guessed
        is_told = not typed or is_same or number_in(text) is not None
        return [] if is_told else [Line(sayings.TAKEN_AS.format(shown))]

    def _plain_answer(self, text: str) -> str:
        """Take "dunno" for an empty line, and words for a guess off a number; a name stays as it was typed."""
        if is_at_a_loss(text):
            return ""
        ask = self.interview.next_question()
        if ask is None or not ask.keys:
            return text
        plain = _without_guess_words(_LEAD_IN.sub("", text.lower(), count=1) if len(ask.keys) == 1 else text)
        return plain if ask.id == "track" else _in_digits(plain)

    def _go_on(self, answered: CarInterview) -> list[Block]:
        self.interview = answered
        asked = next((ask for ask in QUESTIONS if ask.id == answered.given[-1].id and ask.choices), None)
        note = "" if asked is None else asked.choices[int(answered.given[-1].values[0])].note
        said = [Line(note, mark="caution")] if note else []
        return [*said, *(self.again() if self.interview.next_question() is not None else self._finish())]

    def again(self) -> list[Block]:
        """Ask what is asked now."""
        ask = self.interview.next_question()
        if ask is None:
            return []
        count = sayings.COUNTED.format(len(self.interview.given) + 1, len(self.interview.questions))
        return [BLANK, Line(ask.text, lead=count, mark="heading"), *self._choices()]

    def _finish(self) -> list[Block]:
        """Write the files into a folder of their own, and take the car onto the bench."""
        case = own_case(self.interview)
        try:
            folder = self._write(case.name)
        except OSError:
            folder = None
        if folder is None:
            self.case = case
            return [Line(sayings.CAR_NOT_SAVED)]
        self.folder = folder
        self.case = replace(read_case(folder / "case.yaml"), setup=case.setup)
        is_at_home = folder.parent == user_folder()
        opens = folder.name if is_at_home else f"talk {folder / 'case.yaml'}"
        return [Line(sayings.CAR_SAVED.format(folder, opens)), Line(sayings.CAR_TAKEN), Line(sayings.SAY_MORE)]

    def _write(self, name: str) -> Path | None:
        if self._home is None:
            return None
        folder, number = self._home / name, 2
        while is_there(folder):  # never over what is there
            folder, number = self._home / f"{name}-{number}", number + 1
        folder.mkdir(parents=True)
        try:
            write_all({folder / f"{kind}.yaml": text for kind, text in own_car_files(self.interview).items()})
        except OSError:
            rmtree(folder, ignore_errors=True)  # half a car is none
            raise
        return folder


def _without_guess_words(text: str) -> str:
    """Take "about 2850 pounds" and "30 ish" for a number, guessed; only where numbers are asked for."""
    plain = " ".join(text.lower().split()).strip(" .!")
    about, said = _ABOUT.fullmatch(plain), _PLAIN.fullmatch(plain)
    if about is None or said is None:
        return text
    return said[1] if about[1] == said[1] else f"{about[1]} guessed"


def _in_digits(text: str) -> str:
    """Write numbers in words as digits: "thirty five" is 35."""
    return _WRITTEN.sub(lambda one: str(_TENS.get(one[1], 0) + int(NUMBER_WORDS.get(one[2] or one[3], "0"))), text)


def doubt_of(given: CarAnswer, system: System) -> str:
    """Say what is the other way round in an answer and ask whether to keep it; "" where nothing is."""
    if given.guessed or given.id not in _LEAST:
        return ""
    place, least, kind, says = _LEAST[given.id]
    value = given.values[place]
    shown = show(value, kind, system=system, fraction=kind == "short_length")
    return sayings.OTHER_WAY_ROUND.format(says.format(shown)) if value < least else ""


_LEAST: Mapping[str, tuple[int, float, str, str]] = {
    "stagger": (0, 0.0, "short_length", sayings.ODD_STAGGER),
    "scales": (1, 0.5, "share", sayings.ODD_LEFT),
    "track": (1, 0.0, "angle", sayings.ODD_BANKING),
}
"""By the question: place of a number of its answer, the least it usually is on a car that turns left, its kind, and
what is said where it is less."""
