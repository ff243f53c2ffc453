"""The interview as plain, frozen data: what was said, what was answered, and the next question worth asking.

Everything is worked out again from the words and the answers in order, so going back and answering the same gives the
same state. Shell, line mode, report, tests and scripts all drive this one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

from assistant.diagnosis import flow
from assistant.diagnosis.causes import UNLIKE_NOTE, find_causes, is_unlike_the_pack, make_plan
from assistant.diagnosis.complaint import Reading, complaint_of, read
from assistant.diagnosis.evidence import Fact, facts_of
from assistant.diagnosis.match import Match, find_symptoms
from assistant.diagnosis.plan import Plan
from assistant.diagnosis.questions import (
    COMPLAINT,
    AnswerProblem,
    Choice,
    Given,
    Question,
    is_unsure,
    patience_of,
    question_of,
    read_interview_weights,
    say_choices,
    say_no_answer,
)
from assistant.diagnosis.say_back import READ, USUAL_SEVERITY, say_back
from assistant.ground.results import CauseFound, Complaint, OpenQuestion
from assistant.ground.words import did_you_mean
from assistant.rules.knowledge import Knowledge

if TYPE_CHECKING:
    from assistant.car.case import Case


__all__ = ["AnswerProblem", "Reply", "Session", "start"]


@dataclass(frozen=True)
class Reply:
    """What a typed line led to: the session, and what to say when the line was no answer."""

    session: Session
    says: str = ""


@dataclass(frozen=True)
class Session:
    """Where an interview stands. Use `start`, `answer`, `back`, `change`; every one returns a new session.

    first: the driver's first words as read. again: those given when the complaint was asked again, read with them.
    given: (question id, choice id or words) in order. reasked: question to ask again, with its old place. computed:
    facts from the model. eager: wants every question that may help.
    """

    case: Case
    knowledge: Knowledge = field(compare=False, repr=False)
    first: Reading
    again: Reading | None = field(default=None, compare=False, repr=False)
    given: tuple[tuple[str, str], ...] = ()
    reasked: tuple[str, int] | None = None
    computed: Mapping[str, float] = field(default_factory=dict, compare=False, repr=False)
    eager: bool = False

    # what is known

    @cached_property
    def reading(self) -> Reading:
        """The words as read, with the answers folded in."""
        return flow.fold_answers(self.heard, self.known)

    @property
    def heard(self) -> Reading:
        """The words as read, without the answers."""
        again = self.answers.get(COMPLAINT.id, "")
        return self.again if self.again is not None and again and not is_unsure(again) else self.first

    @property
    def text(self) -> str:
        """The driver's first words."""
        return self.first.text

    @cached_property
    def known(self) -> Mapping[str, str]:
        """Question id to choice id: what the words imply, then the case file, then the person; the later one wins."""
        return {**flow.implied_answers(self.heard), **flow.on_file(self.case.answers), **self.answers}

    @property
    def answers(self) -> Mapping[str, str]:
        """What the person answered, in order: question id to choice id (or own words)."""
        return dict(self.given)

    @cached_property
    def complaint(self) -> Complaint:
        """The complaint in cells, answers folded in."""
        return complaint_of(self.reading, [end.id for end in self.case.track.ends])

    @cached_property
    def facts(self) -> Mapping[str, Fact]:
        """Every fact a condition of the pack may ask for, SI units."""
        return facts_of(self.case, self.known, self.complaint, self.computed)

    @property
    def stop(self) -> str | None:
        """The reason to stop and inspect before any adjustment, None when there is none."""
        said = flow.stop_text(self.reading, self.known, self.knowledge.questions)
        return said or self._stop_found

    @cached_property
    def _stop_found(self) -> str | None:
        """Stop for a symptom or a likely cause that the pack marks as a matter of safety."""
        return flow.stop_found(self.symptoms, self.causes, self.knowledge)

    @property
    def notes(self) -> tuple[str, ...]:
        """What should be said beside the advice."""
        return (*flow.notes_of(self.known), *((UNLIKE_NOTE,) if is_unlike_the_pack(self.causes) else ()))

    def say_back(self, lead: str = READ) -> str:
        """Say in one sentence what is understood so far."""
        return say_back(self.complaint, float(self.knowledge.ranking.get("severity_unsaid") or USUAL_SEVERITY), lead)

    def answered(self) -> tuple[Given, ...]:
        """List the answers given, numbered as `change` counts them."""
        found = []
        for number, (qid, choice_id) in enumerate(self.given, 1):
            question = self._question(qid) or COMPLAINT
            found.append(Given(number, question, question.choice(choice_id) or Choice(choice_id, choice_id)))
        return tuple(found)

    def answered_words(self) -> tuple[tuple[str, str], ...]:
        """List (question, answer) as shown on screen."""
        return tuple((one.question.text, one.choice.text) for one in self.answered())

    @cached_property
    def symptoms(self) -> tuple[Match, ...]:
        """The symptoms of the pack that the complaint is, best first."""
        return find_symptoms(self.complaint, self.knowledge)

    @cached_property
    def causes(self) -> tuple[CauseFound, ...]:
        """The causes that explain the complaint, most likely first."""
        return find_causes(self.complaint, self.facts, self.knowledge, set(self.known), self._said_names)

    @property
    def _said_names(self) -> frozenset[str]:
        return frozenset(match.symptom for match in self.symptoms if match.whole)

    # what to ask

    @cached_property
    def plan(self) -> Plan:
        """What the cause questions still open are worth."""
        patience = patience_of(read_interview_weights(self.knowledge), self.given, eager=self.eager)
        known, topic = set(self.known), self._last_topic()
        return make_plan(self.complaint, self.facts, self.knowledge, known, topic, self._said_names, patience)

    def next_question(self) -> Question | None:
        """Return the question to ask now, None when nothing is worth asking (or the car must be inspected)."""
        if self.reasked is not None:
            return self._question(self.reasked[0])
        fixed = flow.next_fixed(self.reading, self.known, self.complaint)
        if fixed is not None:
            return self._explained(fixed)
        if self.stop is not None:
            return None
        return self._explained(self.plan.order[0]) if self.plan.order else None

    def open_questions(self) -> tuple[OpenQuestion, ...]:
        """List the questions whose answer could still change the advice, best first."""
        if self.stop is not None:
            return ()
        ids = [*flow.fixed_open(self.reading, self.known, self.complaint), *self.plan.useful]
        found = [self._question(qid) for qid in dict.fromkeys(ids)]
        return tuple(OpenQuestion(question.id, question.text) for question in found if question is not None)

    def explain_interview(self) -> str:
        """Say how many more questions the best plan would need."""
        return self.plan.says

    def _question(self, qid: str) -> Question | None:
        """Return a question, with the complaint it is about named where there are several."""
        return flow.question_about(qid, self.knowledge.questions, self.reading)

    def _explained(self, qid: str) -> Question | None:
        question = self._question(qid)
        if question is None or question.why:
            return question
        return replace(question, why=flow.WHY.get(qid) or self.plan.why(qid))

    def _last_topic(self) -> str:
        question = question_of(self.given[-1][0], self.knowledge.questions) if self.given else None
        return question.topic if question else ""

    # what changes it

    def answer(self, qid: str, choice: str) -> Session:
        """Answer a question by choice id; "complaint" takes free words too. Raises AnswerProblem for an unknown id."""
        question = question_of(qid, self.knowledge.questions)
        if question is None:
            raise AnswerProblem(f"there is no question '{qid}'; {did_you_mean(qid, self.knowledge.questions)}")
        if question.choice(choice) is None and not question.free:
            allowed = [one.id for one in question.choices]
            raise AnswerProblem(f"'{choice}' is no answer to '{qid}'; {did_you_mean(choice, allowed)}")
        qid = question.id
        rest = [pair for pair in self.given if pair[0] != qid]
        place = len(rest)
        if self.reasked is not None and self.reasked[0] == qid:
            place = min(self.reasked[1], len(rest))
        rest.insert(place, (qid, choice))
        again = self.again
        if qid == COMPLAINT.id and not is_unsure(choice):
            again = flow.read_again(self.first, choice, self.knowledge, self.case.run_laps)
        session = replace(self, given=tuple(rest), reasked=None, again=again)
        kept = session.still_asked()
        if qid not in dict(kept) and (open_one := self.next_question()) is not None and open_one.id == qid:
            kept = session.still_asked(just=qid)  # or it would be asked for ever
        return replace(session, given=kept)

    def still_asked(self, just: str = "") -> tuple[tuple[str, str], ...]:
        """Return the answers whose question still comes up. just: id of the one just answered, which stays."""
        asked = flow.Asked(self.heard, flow.on_file(self.case.answers), tuple(end.id for end in self.case.track.ends))
        return flow.still_asked(self.given, asked, just=just)

    def reply(self, typed: str) -> Reply:
        """Take what a person typed at the open question: an answer, "?", "back 2", "change 1"; else say what can be."""
        words, question = typed.strip().lower().split(), self.next_question()
        if words and words[0] in {"back", "change"} and len(words) <= 2:
            return self._move(words)
        if question is None:
            return Reply(self, "Nothing is being asked. back takes the last answer back.")
        if words in (["?"], ["help"]):
            return Reply(self, question.how_to_tell or say_choices(question))
        choice = flow.answer_meant(typed, question, self.knowledge)
        return (
            Reply(self, say_no_answer(typed, question)) if choice is None else Reply(self.answer(question.id, choice))
        )

    def _move(self, words: Sequence[str]) -> Reply:
        count = words[1] if len(words) == 2 else "1"
        if words[0] == "back" and count.isdigit() and count.isascii():
            if not self.given:
                return Reply(self, "This is the first question; there is nothing to go back to.")
            return Reply(self.back(int(count[:6])))
        if words[0] == "change" and len(words) == 2 and count.isdigit() and count.isascii():
            if not 1 <= int(count[:6]) <= len(self.given):
                answers = f"the answers are 1 to {len(self.given)}" if self.given else "nothing has been answered yet"
                return Reply(self, f"There is no answer {count[:6]}; {answers}.")
            return Reply(self.change(int(count[:6])))
        return Reply(self, "Type back, back and a number, or change and the number of an answer.")

    def ask_on(self) -> Session:
        """Go on asking as long as a question is expected to help, whatever it costs."""
        return replace(self, eager=True)

    def back(self, steps: int = 1) -> Session:
        """Take back the last answers; more steps than there are answers go to the start."""
        if steps < 1:
            return self
        if self.reasked is not None:
            return self._with(self.given)
        return self._with(self.given[: max(0, len(self.given) - steps)])

    def change(self, number_or_id: int | str) -> Session:
        """Ask one answered question again; the other answers stay, those that depended on it go when it is answered."""
        at = next(
            (at for at, (qid, _) in enumerate(self.given) if number_or_id in (at + 1, qid, qid.replace("_", "-"))), None
        )
        if at is None:
            raise AnswerProblem(f"there is no answer '{number_or_id}' to change")
        rest = self.given[:at] + self.given[at + 1 :]
        return replace(self._with(rest), reasked=(self.given[at][0], at))

    def _with(self, given: tuple[tuple[str, str], ...]) -> Session:
        return replace(self, given=given, reasked=None)


def start(case: Case, knowledge: Knowledge, text: str = "", computed: Mapping[str, float] | None = None) -> Session:
    """Begin an interview on the driver's words; without any, on those of the case.

    computed: facts only the model can give (steering_share, corner_speed in m/s), when somebody has them.
    """
    first = read(text.strip() or case.complaint, knowledge, case.run_laps)
    return Session(case, knowledge, first, computed=computed or {})
