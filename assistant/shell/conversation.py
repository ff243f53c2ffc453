"""The conversation itself: one typed line in, what to show out. The prompt and the line mode both drive it.

What each command says is in `verb_screens`; here is only who answers a line: the open question, a command, or the
reader of complaints.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.shell import verb_screens
from assistant.shell.blocks import BLANK, Block, Choices, Line
from assistant.shell.record import CutOff, Record, forget
from assistant.shell.scene import Reply, Scene
from assistant.shell.screen_advice import advice_screen, first_count, offers_of, stop_screen
from assistant.shell.verbs import VERBS, Typed, nearest_verb, number_in, read_line
from assistant.words import count_of

if TYPE_CHECKING:
    from assistant.advice.session import Question, Session
    from assistant.shell.own_car import OwnCar

YES, NO = ("1", "yes", "y"), ("2", "no", "n")
EXAMPLES = "loose off, pushes in the middle, loose on long runs, tight in, snaps"
FIRST_PROMPT = "What is the car doing? (your words, help or quit) > "


class Conversation:
    """One talk. `say` a line, `leave` on Ctrl-C; each returns a Reply."""

    def __init__(self, scene: Scene, record: Record, cut_off: CutOff | None = None) -> None:
        self.scene = scene
        self.record = record
        self._cut_off = cut_off
        self._own_car: OwnCar | None = None

    def opening(self) -> Reply:
        """Return the first prompt, with the offer to go on with a talk that was cut off; nothing is loaded for it."""
        return self._reply([] if self._cut_off is None else offer_to_go_on(self._cut_off))

    def say(self, text: str) -> Reply:
        """Write one typed line down, then answer it."""
        if self._cut_off is not None:
            cut_off, self._cut_off = self._cut_off, None
            if text.strip().lower() in YES:
                return self._go_on_with(cut_off)
            forget(cut_off)
            if text.strip().lower() in NO:
                return self._reply([])
        self.record.typed(text)
        return self._hear(text)

    def _go_on_with(self, talk: CutOff) -> Reply:
        """Type the lines of the cut-off talk once more, on the setup it began with, and show where it stood."""
        if talk.setup:
            self.scene.bench.begin_with(talk.setup)
        reply = self._reply([])
        for line in talk.typed:
            reply = self._hear(line)
        self.record.go_on_with(talk)
        return Reply(
            [Line(f"Where you left: {count_of(len(talk.typed), 'line')} taken up."), *reply.blocks],
            reply.prompt,
            reply.words,
        )

    def _hear(self, text: str) -> Reply:
        if not text.strip():
            return self._reply([Line(self._what_can_be_typed())])
        typed = read_line(text)
        if typed is not None and typed.verb == "quit":
            return Reply([Line("Saved. Good running.")], "", over=True)
        if self._own_car is not None:
            return self._own_car_says(text, typed)
        if typed is not None:
            return self._reply(self._do(typed))
        if self.scene.question is not None:
            return self._reply(self._answer(text))
        if self.scene.advice is not None and (number := number_in(text)) is not None:
            return self._reply(self._do(Typed("why", str(number))))
        return self._reply(self._complain(text))

    def leave(self) -> Reply:
        """Ctrl-C: leave what is being asked; the answers given so far are kept."""
        if self._own_car is not None:
            self._own_car = None
            return self._reply([Line("Left the questions about your car; nothing was saved of it.")])
        if self.scene.question is not None:
            self.scene.question = None
            return self._reply([Line("Left the question."), *self._advise()])
        return self._reply([Line("Nothing is being asked. Type quit or press Ctrl-D to leave.")])

    def advise_at_once(self) -> Reply:
        """Give the advice for the complaint on file, with no more questions: for when nobody is there to answer."""
        blocks = self._complain(self.scene.bench.case.complaint)
        if self.scene.question is not None:
            self.scene.question = None
            blocks = [*blocks, *self._advise()]
        return Reply(blocks, "", over=True)

    @property
    def is_asked(self) -> bool:
        """Whether a question is open, so that Ctrl-C has something to leave."""
        return self.scene.question is not None or self._own_car is not None

    def completions(self) -> tuple[str, ...]:
        """Return what Tab may complete at the open prompt."""
        words = self._prompt()[1]
        if self._own_car is not None:
            return words
        commands = tuple(verb.name for verb in VERBS if verb.name != "?")
        if not self.scene.bench.is_loaded:
            return (*words, *commands)
        knowledge = self.scene.bench.knowledge
        return (
            *words,
            *commands,
            *knowledge.symptoms,
            *(f"explain {word}" for word in (*knowledge.levers, *knowledge.glossary)),
        )

    def saved_words(self) -> list[Block]:
        """Return what Ctrl-D says: nothing is lost."""
        return [
            Line("Saved. Type halfturn to go on where you left." if self.scene.session is not None else "Good running.")
        ]

    # who answers

    def _do(self, typed: Typed) -> list[Block]:
        match typed.verb:
            case "back":
                return self._back(int(typed.rest or 1))
            case "change":
                return self._change(typed.rest)
            case "mine":
                return self._begin_own_car()
            case "?":
                return self._explain_question()
            case "more":
                return self._more()
            case "make" | "undo":
                return self._changed_setup(typed)
        return verb_screens.SCREENS[typed.verb](self.scene, typed.rest)

    def _complain(self, text: str) -> list[Block]:
        from assistant.advice import session  # noqa: PLC0415 - imports the rules

        scene = self.scene
        begun = session.start(scene.bench.case, scene.bench.knowledge, text)
        if not begun.reading.readable and not begun.stop:
            return self._not_understood(text)
        self.record.began_with(scene.bench.case.setup.values)
        scene.session, scene.advice = begun, None
        return [Line(begun.say_back()), *self._go_on()]

    def _not_understood(self, text: str) -> list[Block]:
        meant = nearest_verb(text)
        if meant:
            return [Line(f"I do not know {text.strip()!r}; did you mean '{meant}'?")]
        return [
            Line(f"I cannot make out {text.strip()!r}."),
            Line(f"Say what the car does, such as: {EXAMPLES}. Type help for the commands."),
        ]

    def _answer(self, text: str) -> list[Block]:
        """Take the line as an answer; what is no answer may be a new complaint."""
        from assistant.advice.session import start  # noqa: PLC0415 - imports the rules

        session = self._session()
        reply = session.reply(text)
        if reply.session is not session:
            self.scene.session = reply.session
            return self._go_on()
        bench = self.scene.bench
        if number_in(text) is None and start(bench.case, bench.knowledge, text).reading.readable:
            return [Line("A new complaint; the answers to the old one are put away."), *self._complain(text)]
        meant = nearest_verb(text)
        return [Line(f"Did you mean '{meant}'?" if meant else reply.says)]

    # the interview

    def _go_on(self) -> list[Block]:
        """Ask the next question worth its time, or give the advice."""
        session = self._session()
        self.scene.advice = None
        self.scene.question = session.next_question()
        if self.scene.question is None:
            return self._advise()
        return question_blocks(self.scene.question)

    def _advise(self) -> list[Block]:
        from assistant.advice.advise import advise  # noqa: PLC0415 - imports numpy

        scene, bench = self.scene, self.scene.bench
        if scene.session is None:
            return []
        if scene.session.stop is not None:
            return [BLANK, *stop_screen(scene.session.stop)]
        advice = advise(bench.case, bench.knowledge, scene.session, bench.effects())
        scene.advice, scene.shown = advice, first_count(advice)
        return [BLANK, *advice_screen(advice, bench.knowledge.levers, scene.units)]

    def _back(self, steps: int) -> list[Block]:
        session = self.scene.session
        if session is None:
            return [Line("Nothing to go back to yet.")]
        if steps > len(session.given):
            self.scene.session = self.scene.question = self.scene.advice = None
            return [Line("Back at the start.")]
        self.scene.session = session.back(steps)
        return self._go_on()

    def _change(self, rest: str) -> list[Block]:
        session = self.scene.session
        if session is None or not session.given:
            return [Line("No question has been answered yet.")]
        if not rest:
            said = [Line("Your answers so far; type change and a number to answer again:")]
            return [
                *said,
                *(Line(f"{one.question.text} {one.choice.text}", lead=str(one.number)) for one in session.answered()),
            ]
        if not 1 <= int(rest) <= len(session.given):
            return [Line(f"The answers go from 1 to {len(session.given)}; type change alone to see them.")]
        self.scene.session = session.change(int(rest))
        return self._go_on()

    def _explain_question(self) -> list[Block]:
        question = self.scene.question
        if question is None:
            return [Line(self._what_can_be_typed())]
        blocks: list[Block] = [Line(f"Asked because: {question.why}")] if question.why else []
        for number, choice in enumerate(question.choices, 1):
            blocks.append(Line(f"{choice.text}: {choice.help}" if choice.help else choice.text, lead=str(number)))
        return [*blocks, Line(f"How to tell: {question.how_to_tell}")] if question.how_to_tell else blocks

    def _more(self) -> list[Block]:
        scene = self.scene
        if scene.advice is None:
            return [Line(verb_screens.NO_ADVICE)]
        left = len(offers_of(scene.advice)) - scene.shown
        if left <= 0:
            return [Line("That was all of them.")]
        count = min(3, left)
        blocks = advice_screen(scene.advice, scene.bench.knowledge.levers, scene.units, first=scene.shown, count=count)
        scene.shown += count
        return blocks

    def _changed_setup(self, typed: Typed) -> list[Block]:
        return verb_screens.make(self.scene, typed.rest) if typed.verb == "make" else verb_screens.undo(self.scene)

    # one's own car

    def _begin_own_car(self) -> list[Block]:
        from assistant.shell.own_car import OwnCar  # noqa: PLC0415 - imports the car's files

        self._own_car = OwnCar(self.scene.units)
        return self._own_car.opening()

    def _own_car_says(self, text: str, typed: Typed | None) -> Reply:
        assert self._own_car is not None  # noqa: S101 - the caller has looked
        blocks = self._own_car.say(text, typed)
        if self._own_car.case is not None:
            self.scene.bench.put_case(self._own_car.case)
            self.scene.session = self.scene.question = self.scene.advice = None
            self._own_car = None
        return self._reply(blocks)

    # prompts

    def _reply(self, blocks: list[Block]) -> Reply:
        prompt, words = self._prompt()
        return Reply(blocks, prompt, words)

    def _prompt(self) -> tuple[str, tuple[str, ...]]:
        if self._cut_off is not None:
            return "1, 2, or what the car is doing > ", ("yes", "no")
        if self._own_car is not None:
            return self._own_car.prompt, self._own_car.words
        question = self.scene.question
        if question is not None:
            return f"1 to {len(question.choices)}, ? or back > ", (
                *(choice.text for choice in question.choices),
                "back",
                "?",
                "quit",
            )
        if self.scene.session is not None and self.scene.session.stop:
            return "When it is mended: what the car does now, back or quit > ", ()
        if self.scene.advice is not None:
            return "try 1, why 1, make 1, more, back, help, or new words > ", ()
        if self.scene.made:
            return "What does it do now? (your words, undo, show or quit) > ", ()
        return FIRST_PROMPT, ()

    def _what_can_be_typed(self) -> str:
        if self.scene.question is not None:
            count = len(self.scene.question.choices)
            return f"Type a number from 1 to {count}, ? for what they mean, back for the question before, or quit."
        if self.scene.advice is not None:
            return "Type try, why or make with a number, more for other remedies, or what the car does now."
        return f"Say what the car does, such as: {EXAMPLES}."

    def _session(self) -> Session:
        assert self.scene.session is not None  # noqa: S101 - only called inside an interview
        return self.scene.session


def offer_to_go_on(talk: CutOff) -> list[Block]:
    """Offer to take up a talk that did not end."""
    said = (
        f"A talk about this car from {talk.began} was cut off after {count_of(len(talk.typed), 'line')}. Go on with it?"
    )
    return [BLANK, Line(said), Choices(("yes", "no, begin a new one"))]


def question_blocks(question: Question) -> list[Block]:
    """Show a question and its numbered answers."""
    return [BLANK, Line(question.text, mark="heading"), Choices(tuple(choice.text for choice in question.choices))]
