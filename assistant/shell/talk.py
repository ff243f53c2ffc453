"""The conversation itself: one typed line in, what to show out. The prompt and the line mode both drive it.

Here is only who answers a line: what is being asked, a command, or the reader of complaints.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import TYPE_CHECKING

from assistant.car.files import read_case
from assistant.car.own_car import QUESTIONS, SHORT_QUESTIONS, Ask
from assistant.ground.choosing import asks_how, number_in
from assistant.ground.folders import DEMO_CASES
from assistant.ground.problems import BadInput
from assistant.notebook.book import NOTE, felt_before
from assistant.notebook.cars import all_cars, enter_car
from assistant.notebook.record import CTRL_C
from assistant.notebook.store import own_folder
from assistant.pages import sayings
from assistant.pages.blocks import Block, Line
from assistant.pages.felt_words import SAY_AGAIN
from assistant.pages.hearing_words import say_fine
from assistant.pages.notebook import cars_screen
from assistant.pages.setups import say_in_use
from assistant.shell import interview
from assistant.shell.dialogs import (
    YES_WORDS,
    Dialog,
    GoOnDialog,
    Reply,
    cut_off_about,
    goodbye,
    offer_to_go_on,
)
from assistant.shell.hear import (
    QuestionDialog,
    WhichDialog,
    answer_question,
    begins_anew,
    begins_something,
    is_urgent,
    is_vague,
    look_answered,
    not_understood,
)
from assistant.shell.own_car_dialog import OwnCarDialog
from assistant.shell.plain_questions import is_asked
from assistant.shell.remembered import Kept, after_offer
from assistant.shell.since import (
    OddDialog,
    ToldDone,
    ask_on_before,
    felt_alone,
    is_odd,
    is_of_list,
    read_done,
    read_felt,
    say_already_felt,
    take_felt,
)
from assistant.shell.told import split_told, tell
from assistant.shell.verbs import DOES, OWN_WORDS_BEHIND, Typed, is_no_complaint, read_line, typed_whole

if TYPE_CHECKING:
    from assistant.car.case import Case
    from assistant.diagnosis.verdict import ChangeWord
    from assistant.notebook.book import CutOff
    from assistant.notebook.record import Record
    from assistant.shell.talk_state import TalkState


READ_BEHIND = frozenset({"temps", "measured"})
"""Commands that a reading may stand behind: it is taken as one, and not as how the car is set."""


class Conversation:
    """One talk. `say` a line, `leave` on Ctrl-C; each returns a Reply."""

    def __init__(self, state: TalkState, record: Record, cut_off: CutOff | None = None) -> None:
        self.state = state
        self.record = record
        self.kept = Kept(state, record)
        self._line = ""
        self._is_warned = False
        self._left_car: OwnCarDialog | None = None
        self.dialog: Dialog | None = None
        self._offer(cut_off)

    def _offer(self, cut_off: CutOff | None) -> list[Block]:
        """Offer to go on with a talk that was left, if there is one."""
        if cut_off is None:
            return []
        offer = offer_to_go_on(cut_off, partial(begins_something, self.state))
        return self._ask(offer, partial(after_offer, self, offer), list)

    def say(self, text: str) -> Reply:
        """Write one typed line down, then answer it; quit is not written, so that going on goes on before it."""
        typed = read_line(self._meant_by(text))
        if typed is not None and typed.verb == "quit":
            return Reply(self.saved_words(), "", over=True)
        try:
            if not isinstance(self.dialog, GoOnDialog):
                self.kept.typed(text)
            blocks = self.hear(text)
            self._follow()
            return self._reply([*blocks, *self._not_kept()])
        except KeyboardInterrupt:
            has_words = self.state.session is not None
            return self._reply([Line(sayings.STOPPED_AGAIN if has_words else sayings.STOPPED)])
        except BadInput as mistake:
            if not self.state.bench.is_loaded:
                raise  # without a case or rules there is nothing to talk about
            rows = [row.strip() for problem in mistake.problems for row in problem.text().split("\n")]
            return self._reply([Line(row, mark="caution") for row in rows])

    def _follow(self) -> None:
        """Bring the notebook up to where the talk stands; what an offer to go on will come to is not known yet."""
        if not isinstance(self.dialog, GoOnDialog):
            self.kept.follow(() if self.dialog is None else self.dialog.led_by)

    def _not_kept(self) -> list[Block]:
        """Say once that the notebook takes nothing more; where there is none, that was said at the start."""
        if self.record.is_kept or not self.record.can_keep or self._is_warned:
            return []
        self._is_warned = True
        return [Line(sayings.NOT_FROM_HERE, mark="caution")]

    def leave(self) -> Reply:
        """Ctrl-C: leave what is being asked; the answers given so far are kept."""
        asked = self.asked
        if asked is None or not asked.left:
            return self._reply([Line(sayings.NOTHING_ASKED)])
        self.kept.typed(CTRL_C)
        self.dialog = None
        blocks = [Line(asked.left), *asked.when_left()]
        self._follow()
        return self._reply(blocks)

    def advise_at_once(self) -> Reply:
        """Give the advice for the complaint on file, with no questions: for when nobody is there to answer."""
        said = self.state.bench.case.complaint
        blocks = self.complain(said)
        if self.state.question is not None:
            self.state.question = None
            told = Line(sayings.NOBODY_TYPES.format(said))
            blocks = [told, *interview.give_advice(self.state)]
        return Reply(blocks, "", over=True)

    @property
    def is_asked(self) -> bool:
        """Whether a question is open, so that Ctrl-C has something to leave."""
        return self.asked is not None and bool(self.asked.left)

    def completions(self) -> tuple[str, ...]:
        """Return what Tab may complete at the open prompt."""
        words = self._prompt()[1]
        if self.dialog is not None:
            return words
        knowledge = self.state.bench.knowledge if self.state.bench.is_loaded else None
        return (*words, *typed_whole(knowledge))

    def answers(self) -> tuple[str, ...]:
        """Return the answers of what is asked, in the order of their numbers; none where nothing is."""
        return () if self.asked is None else self.asked.answers

    def saved_words(self) -> list[Block]:
        """Return what quit and Ctrl-D say: nothing is lost."""
        is_offer = isinstance(self.dialog, GoOnDialog)
        return [Line(sayings.STILL_THERE if is_offer else goodbye(self.record))]

    @property
    def asked(self) -> Dialog | None:
        """What is being asked; the question of the interview stands behind everything else."""
        question = self.state.question
        return self.dialog if self.dialog or question is None else QuestionDialog(self.state, question)

    def hear(self, text: str) -> list[Block]:
        """Answer a line: what is asked, what was meant, what is told of the car, or the line for itself."""
        missed, asked = self.state.missed, self.asked
        explains = asked is not None and not asked.takes_all and asks_how(text)
        blocks = asked.explained() if asked is not None and explains else self._hear(text)
        self.state.missed = self.state.missed if self.state.missed > missed else 0
        return blocks

    def _hear(self, text: str) -> list[Block]:
        """Answer a line, whatever was missed before."""
        self._line, typed, asked = text, self.read(text), self.asked
        meant, self.state.meant = self._meant_by(text), ""
        if meant != text:
            return self.hear(meant)
        if (told := self._take_told(text, typed, asked)) is not None:
            return [*told, *([] if asked is None else asked.again())]
        if typed is None and (both := self._hear_both(text, asked)) is not None:
            return both
        if asked is None:
            return self.answer(text, typed)
        if typed is None or asked.takes_all or typed.verb in asked.own:
            asked.led_by = (*asked.led_by, text)
            blocks = asked.say(text)
            return [*blocks, *self._end(asked)] if asked.is_over else blocks
        return self._do_beside(asked, text, typed)

    def _meant_by(self, text: str) -> str:
        """Return the command a yes stands for, else the line as it is."""
        is_yes = text.strip().lower() in YES_WORDS and (self.asked is None or not self.asked.takes_yes)
        return self.state.meant if is_yes and self.state.meant else text

    def read(self, text: str) -> Typed | None:
        """Read a line as a command; None where its words begin a choice of what is asked, or tell of the car."""
        typed, asked = read_line(text), self.asked
        is_choice = typed is not None and asked is not None and asked.is_begun_by(text)
        return None if is_choice or self._is_about_the_car(typed, text) else typed

    def _take_told(self, text: str, typed: Typed | None, asked: Dialog | None) -> list[Block] | None:
        """Answer a plain question, or take down what is told of the car; None for a line that is neither."""
        told = answer_question(self.state, text) if typed is None else None
        is_heard = told is None and (asked is None or asked.hears_facts)
        return tell(self.state, text) if is_heard and (typed is None or typed.verb in READ_BEHIND) else told

    def _hear_both(self, text: str, asked: Dialog | None) -> list[Block] | None:
        """Answer a line that says what the car does, and beside it what it has not; one of somebody in danger first."""
        if self.dialog is not None and is_urgent(self.state, text):
            self.dialog = None
            return self.complain(text)
        if asked is not None and not asked.hears_facts:
            return None
        words, takings = split_told(self.state, text)
        if not takings or not begins_anew(self.state, words):
            return None
        heard = self.hear(words)
        told = [block for take in takings for block in take()]
        return [*heard, *told] if self.asked is None else [*told, *heard]

    def _is_about_the_car(self, typed: Typed | None, text: str) -> bool:
        """Whether words behind a command tell how the car runs, or of danger: "made it worse, the brakes are gone"."""
        free = typed is not None and typed.verb in OWN_WORDS_BEHIND and not typed.rest.isdigit() and typed.rest != ""
        return free and (begins_anew(self.state, text) or read_felt(self.state, text) is not None)

    def _do_beside(self, asked: Dialog, text: str, typed: Typed) -> list[Block]:
        """Do a command while something is asked: screens leave it open, what moves the talk ends it."""
        if typed.verb in asked.explained_by and not typed.rest:
            return asked.explained()
        if typed.verb not in asked.ended_by:
            blocks = self._do(typed)
            return [*blocks, *asked.again()] if self.dialog in (None, asked) else blocks
        if isinstance(asked, GoOnDialog):
            asked.unheard, self.dialog = text, None
            return [*after_offer(self, asked), *self.answer(text, typed)]
        self.dialog = None
        return [Line(asked.left), *self._do(typed)]

    def _end(self, asked: Dialog) -> list[Block]:
        """Go on after what was asked: with what whoever asked it says, or with the line that ended it."""
        self.dialog = None if self.dialog is asked else self.dialog
        after = asked.when_over()
        return [*after, *self.answer(asked.unheard, None)] if asked.unheard else after

    def _ask(
        self, dialog: Dialog, when_over: Callable[[], list[Block]], when_left: Callable[[], list[Block]]
    ) -> list[Block]:
        """Open a dialog; when there is nothing to ask, go on at once."""
        self.dialog, dialog.when_over, dialog.when_left = dialog, when_over, when_left
        dialog.led_by = (self._line,)
        blocks = dialog.opening()
        return [*blocks, *self._end(dialog)] if dialog.is_over else blocks

    def answer(self, text: str, typed: Typed | None) -> list[Block]:
        """Answer a line of the talk itself: a command, a word, a number, or what the car does."""
        self._line = text
        if not text.strip():
            return [Line(interview.what_can_be_typed(self.state))]
        if typed is not None:
            return self._do(typed)
        if (heard := self._hear_felt(text)) is not None:
            return heard
        if self.state.advised and (number := number_in(text)) is not None:
            return self._do(Typed("why", str(number)))
        look = look_answered(self.state, text)
        return self._done_from_list(look, text) if look else self.complain(text)

    def _hear_felt(self, text: str) -> list[Block] | None:
        """Hear what a change did, made here or only listed here; None where a line says nothing of one."""
        if (felt := read_felt(self.state, text)) is not None:
            return self._feel(felt, text)
        if (already := say_already_felt(self.state, text)) is not None:
            return already
        if (done := read_done(self.state, text)) is not None:
            return self._take_done(done)
        if (before := ask_on_before(self.state, text)) is not None:
            return self._ask(before, lambda: self._feel(before.word, before.said), list)
        if not is_of_list(self.state, text):
            return None
        which = WhichDialog(self.state)
        return self._ask(which, lambda: self._done_from_list(which.chosen, text), list)

    def _take_done(self, done: ToldDone) -> list[Block]:
        """Take down a change that was told as made, then what is said of it."""
        made = self._do(Typed("make", str(done.number)) if done.number else Typed("made", done.words))
        is_heard = done.felt and self.state.not_felt
        return [*made[:2], *self.answer(done.felt, None)] if is_heard else made

    def _do(self, typed: Typed) -> list[Block]:
        """Do a command; those that need more than where the talk stands are here, quit is in `say`."""
        here: Mapping[str, Callable[[str], list[Block]]] = {
            "mine": lambda rest: self._describe_car(QUESTIONS if rest else SHORT_QUESTIONS),
            "cars": lambda _: cars_screen([] if self.record.book is None else all_cars(self.record.book), "open"),
            "open": self._open,
            "note": self._note,
            "felt": self._felt,
        }
        return here[typed.verb](typed.rest) if typed.verb in here else DOES[typed.verb](self.state, typed.rest)

    def complain(self, text: str) -> list[Block]:
        """Take a line as what the car does."""
        state = self.state
        begun = state.heard(text)
        is_question = is_no_complaint(text) or (is_asked(text) and not begun.reading.readable)
        if state.session is not None and not begun.stop and is_question:
            return not_understood(state, text)
        if begun.stop or begun.reading.readable:
            return interview.begin(state, begun)
        said = begun.reading.said
        stand = [claim.balance for claim in said.claims if not claim.denied]
        if is_vague(state, begun, text):
            return interview.begin(state, begun)  # first whether the car is sound, then what it does
        if state.stop or set(stand) != {"fine"}:
            return not_understood(state, text, said.left_open)
        state.bench.keep_said(begun.complaint)
        return [Line(say_fine(said))]

    def _note(self, words: str) -> list[Block]:
        """Keep a note of the weather, the track or anything else."""
        if not words:
            return [Line(sayings.NOTE_WHAT)]
        return [] if self.record.write(NOTE, words) is None else [Line(sayings.NOTED)]

    def _felt(self, words: str) -> list[Block]:
        felt = read_felt(self.state, words)
        return felt_alone(self.state) if felt is None else self._feel(felt, words)

    def _feel(self, word: ChangeWord | None, text: str) -> list[Block]:
        """Take what a change did, or, where that was left open, what the car does; what is odd is asked about first."""
        if word is None:
            return self.complain(text)
        if not is_odd(self.state, word):
            return take_felt(self.state, word, text)
        odd, blame = OddDialog(), partial(take_felt, self.state, word, text)
        again: list[Block] = [Line(SAY_AGAIN)]
        return self._ask(odd, lambda: again if odd.is_back else blame(counts=odd.counts), partial(blame, counts=False))

    def _done_from_list(self, number: int, text: str) -> list[Block]:
        """Take down what was done of the list, then what was said of it, each as a line of its own."""
        if not number:
            return self.complain(text)
        made = self._do(Typed("make", str(number)))
        self.kept.follow()
        self.kept.typed(text)
        if self.state.question is not None:  # a look was told with what it found
            return [*made[:1], *self.hear(text)]
        return [*made[:2], *self.answer(text, None)] if self.state.not_felt else made

    def _describe_car(self, questions: tuple[Ask, ...]) -> list[Block]:
        car = self._left_car or OwnCarDialog(self.state.system, own_folder(), questions)
        car.ask_as_many_as(questions)
        self._left_car = car
        return self._ask(car, partial(self._take_own, car), partial(interview.question_blocks, self.state))

    def _take_own(self, car: OwnCarDialog) -> list[Block]:
        """Work on the car that was just described; the talk in which it was described is over."""
        self._left_car = None
        self.record.ended()
        return [] if car.case is None else self._take_car(car.case)

    def _take_car(self, case: Case) -> list[Block]:
        """Work on another car: a talk of its own, and the car the next one opens on."""
        self.state.begin_with(case)
        if case.file:
            self.record = self.record.anew(partial(enter_car, file=case.file))
            self.state.name = self.record.name
        self.kept = Kept(self.state, self.record)  # what stands in the notebook of the car before stays there
        return []

    def _open(self, name: str) -> list[Block]:
        """`open car-7`: another car, by its name; begun as a start with it begins."""
        blocks = self._take_car(read_case(name))
        case, book = self.state.bench.case, self.record.book
        left = None if book is None else cut_off_about(book, name if name in DEMO_CASES else case.file)
        self.state.bench.learned = felt_before(book, self.record.enter(), None if left is None else left.id)
        said = left is not None and (left.said or left.made)
        return [*blocks, Line(say_in_use(case)), *self._offer(left if said else None)]

    def _reply(self, blocks: list[Block]) -> Reply:
        return Reply(blocks, *self._prompt(), goodbye=tuple(self.saved_words()))

    def _prompt(self) -> tuple[str, tuple[str, ...]]:
        """Return the prompt where the talk stands, and the answers Tab may complete besides the commands."""
        asked = self.asked
        return interview.prompt_of(self.state) if asked is None else (asked.prompt, asked.words)
