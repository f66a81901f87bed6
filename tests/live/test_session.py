"""The session's rules, on a made-up language (conftest.py): what is told when, and what is kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from dictate.live.session import Session
from dictate.model import Bird, Utterance

Hear = Callable[..., list[tuple[str, Any]]]


def names(events: list[tuple[str, Any]]) -> list[str]:
    return [name for name, _ in events]


def test_a_finding_is_told_once_with_the_end_of_its_phrase(hear_all: Hear) -> None:
    events = hear_all("bird ada left eye red", "um", "right eye good")
    assert names(events) == ["bird", "finding", "finding"]
    first, second = events[1][1], events[2][1]
    assert (first["finding"]["region"], first["finding"]["side"], first["phrase_end"]) == ("eye", "left", 2.5)
    assert second["finding"]["side"] == "right"


def test_measurements_actions_and_rest_normal_are_told(hear_all: Hear) -> None:
    events = hear_all("bird ada weigh 2000", "see", "rest")
    assert names(events) == ["bird", "measurement", "action", "rest-normal"]
    assert events[1][1]["measurement"]["value"] == 2000


def test_next_bird_closes_the_exam_and_starts_anew(session: Session, hear_all: Hear) -> None:
    events = hear_all("bird ada left eye red", "um next bird", "bird bea comb good")
    assert names(events) == ["bird", "finding", "command", "bird-closed", "bird", "finding"]
    closed = events[3][1]
    assert closed["bird"]["name"] == "ada"
    assert closed["not_looked_at"] == ["right eye", "comb", "crop", "foot"]
    assert session.view.birds == 1
    assert session.view.exam.bird.name == "bea"


def test_what_is_to_be_kept_comes_with_the_closing(
    session: Session, spoken: Callable[..., list[Utterance]]
) -> None:
    words = spoken("bird ada left eye red", "next bird", "bird bea comb good")
    events = [event for utterance in words for event in session.hear(utterance)] + session.finish()
    kept = [(event.draft, event.utterances) for event in events if event.draft]
    assert [draft.exams[0].bird.name for draft, _ in kept if draft] == ["ada", "bea"]
    assert [said for _, said in kept] == [(words[0],), (words[2],)]
    assert events[-1].data == {"birds": 2}


def test_next_bird_inside_a_sentence_is_dictation(session: Session, hear_all: Hear) -> None:
    assert "command" not in names(hear_all("bird ada the next bird was red"))
    assert session.view.birds == 0


def test_a_new_name_without_a_command_closes_the_bird_before_once_it_has_settled(
    session: Session, spoken: Callable[..., list[Utterance]]
) -> None:
    closed: list[tuple[int, str]] = []
    words = spoken("bird ada comb red", "crop good", "bird bea crop red", "comb good", "left eye red", "see")
    for number, utterance in enumerate(words):
        closed += [(number, event.data["bird"]["name"]) for event in session.hear(utterance)
                   if event.name == "bird-closed"]
    assert closed == [(4, "ada")]
    assert session.view.exam.bird.name == "bea"
    assert len(session.view.items) == 4


def test_a_change_of_meaning_withdraws_what_was_told(session: Session) -> None:
    events = [*session.hear(_words("comb no")), *session.hear(_words("red"))]
    assert [e.name for e in events if e.name != "heard"] == ["finding"]
    assert events[-1].data["finding"]["presence"] == "absent"


def _words(text: str) -> Utterance:
    from dictate.model import Word

    return Utterance(tuple(Word(word) for word in text.split()), "typed")


def test_scratch_that_takes_back_the_last_thing_that_counted(session: Session, hear_all: Hear) -> None:
    events = hear_all("bird ada comb red", "crop good", "um well", "scratch that")
    assert names(events)[-2:] == ["command", "withdrawn"]
    assert events[-1][1]["record"]["region"] == "crop"
    assert events[-1][1]["why"] == "taken back"
    assert [f.region for f in session.view.exam.findings] == ["comb"]
    again = hear_all("scratch that", "scratch that", "scratch that")
    assert names(again) == ["command", "withdrawn", "bird", "command", "nothing-to-take-back", "command",
                            "nothing-to-take-back"]


def test_scratch_that_after_next_bird_takes_her_up_again(session: Session, hear_all: Hear) -> None:
    events = hear_all("bird ada comb red", "next bird", "um", "scratch that")
    assert names(events)[-4:] == ["command", "reopened", "bird", "finding"]
    assert (session.view.birds, session.view.exam.bird.name) == (0, "ada")
    assert "withdrawn" in names(hear_all("scratch that")), "and on into what was said of her"


def test_what_is_left_is_told_in_order(hear_all: Hear) -> None:
    events = hear_all("bird ada crop good left foot sore", "what's left")
    assert events[-1] == ("left", {"regions": ["eye", "comb", "right foot"]})


def test_while_paused_words_are_heard_but_not_understood(session: Session, hear_all: Hear) -> None:
    events = hear_all("bird ada", "pause listening", "comb red", "next bird", "go on", "crop red")
    assert names(events) == ["bird", "command", "paused", "command", "resumed", "finding"]
    assert events[-1][1]["finding"]["region"] == "crop"
    assert session.view.heard[-1] == "crop red"


def test_finish_by_voice_closes_and_then_nothing_more_happens(session: Session, hear_all: Hear) -> None:
    events = hear_all("bird ada comb red", "all done for today", "crop red", "next bird")
    assert names(events) == ["bird", "finding", "command", "bird-closed", "ended"]
    assert session.state == "ended"
    assert session.finish() == []


def test_nothing_said_closes_nothing(hear_all: Hear, session: Session) -> None:
    assert names(hear_all("um", "next bird", "next bird")) == ["command", "command"]
    assert [event.name for event in session.finish()] == ["ended"]


def test_words_that_break_the_parser_do_not_end_the_round(hear_all: Hear) -> None:
    events = hear_all("bird ada comb red", "broken", "crop good")
    assert names(events) == ["bird", "finding", "warning", "finding"]
    assert "broken" in events[2][1]["text"]


def test_states(session: Session, hear_all: Hear) -> None:
    seen = [session.state]
    for text in ("um", "bird ada comb red", "pause listening", "go on", "next bird", "all done for today"):
        hear_all(text)
        seen.append(session.state)
    assert seen == ["idle", "listening", "exam-open", "paused", "exam-open", "idle", "ended"]


def test_memory_does_not_grow_with_the_round(session: Session, hear_all: Hear) -> None:
    import pickle

    def size() -> int:
        return len(pickle.dumps((session._hand, session._draft, session._heard, session._past)))

    one_bird = ["bird ada comb red", "crop good", "next bird"]
    hear_all(*one_bird * 40)  # by then all steps that are remembered are of such birds
    early = size()
    hear_all(*one_bird * 300)
    assert session.view.birds == 340
    assert size() < early + 100, "the numbers in it are longer, nothing else"


# Words before a phrase has ended


def early(session: Session, text: str) -> list[tuple[str, Any]]:
    return [(event.name, event.data) for event in session.overhear(_words(text))]


def test_words_before_the_end_of_a_phrase_are_shown_and_told_once(session: Session) -> None:
    seen = early(session, "bird ada comb red")
    assert names(seen) == ["bird", "finding"]
    assert all(data["early"] for _, data in seen)
    assert session.view.hearing == "bird ada comb red"
    later = [event.name for event in session.hear(_words("bird ada comb red crop good"))]
    assert later == ["heard", "finding"], "only what is new"
    assert session.view.hearing == ""


def test_what_was_heard_otherwise_in_the_end_is_taken_away(session: Session) -> None:
    early(session, "bird ada comb red")
    events = session.hear(_words("bird ada comb good"))
    assert [event.name for event in events] == ["heard", "withdrawn", "finding"]


def test_early_words_are_nothing_until_heard(session: Session, hear_all: Hear) -> None:
    hear_all("bird ada comb red")
    early(session, "crop good")
    assert names(hear_all("next bird"))[:2] == ["command", "withdrawn"], "it was a command after all"
    assert session.view.birds == 1
    early(session, "crop good")
    assert [event.name for event in session.finish()] == ["withdrawn", "ended"], "nothing to keep"


def test_what_may_become_a_command_is_not_understood_early(session: Session, hear_all: Hear) -> None:
    hear_all("bird ada comb red", "pause listening")
    assert early(session, "crop good") == []
    hear_all("go on")
    assert early(session, "scratch") == []


# Questions

def test_a_question_waits_for_silence_and_is_answered(talk: Any) -> None:
    talk.say("bird ada foot sore", 0.0)
    assert talk.wait(2.5) == []
    assert talk.wait(4.0, speaking=True) == []
    assert talk.wait(5.1) == ["question"]
    assert (talk.session.state, talk.session.view.question) == ("question-open", "Which foot?")
    assert talk.say("the left one", 6.0) == ["answer", "withdrawn", "finding"]
    (finding,) = talk.session.view.exam.findings
    assert (finding.side, finding.verdict) == ("left", "check"), "an answer is heard too: never surer than that"
    assert talk.wait(20.0) == [], "not asked again"


def test_silence_puts_a_question_off_and_it_stays_for_the_review(talk: Any) -> None:
    talk.say("bird ada foot sore", 0.0)
    talk.wait(4.0)
    assert talk.wait(8.9) == []
    assert talk.wait(9.1) == ["put-off"]
    (closed, *_) = [event for event in talk.events("next bird", 10.0) if event.name == "bird-closed"]
    assert closed.draft is not None
    assert [question.text for question in closed.draft.exams[0].questions] == ["Which foot?"]


def test_dictation_goes_on_while_a_question_is_open(talk: Any) -> None:
    talk.say("bird ada foot sore", 0.0)
    talk.wait(4.0)
    assert talk.say("left eye red", 5.0) == ["finding"]
    assert talk.session.state == "question-open"
    assert talk.say("right", 7.0) == ["answer", "withdrawn", "finding"]
    assert {(f.region, f.side) for f in talk.session.view.exam.findings} == {("foot", "right"), ("eye", "left")}


def test_a_question_that_is_answered_in_passing_is_closed(talk: Any) -> None:
    talk.say("bird ada foot sore", 0.0)
    talk.wait(4.0)
    talk.say("scratch that", 5.0)
    assert talk.session.view.question == ""


def test_an_answer_can_be_taken_back(talk: Any) -> None:
    talk.say("bird ada foot sore", 0.0)
    talk.wait(4.0)
    talk.say("left", 5.0)
    assert talk.say("scratch that", 7.0) == ["command", "withdrawn", "finding"]
    assert talk.session.view.exam.findings[0].side is None


def test_which_bird_is_asked_for_last(talk: Any) -> None:
    talk.say("comb red", 0.0)
    talk.wait(4.0)
    assert talk.session.view.question == "Which bird is this?"
    assert talk.say("bird bea", 5.0) == ["answer", "bird"]
    assert talk.say("crop good", 7.0) == ["finding"]
    assert talk.session.view.exam.bird.name == "bea"


def test_contradiction_is_asked_and_settled(talk: Any) -> None:
    talk.say("bird ada comb red", 0.0)
    talk.say("comb no red", 3.0)
    talk.wait(9.0)
    assert talk.session.view.question == "comb: redness, or no redness?"
    assert talk.say("no", 10.0) == ["answer", "withdrawn", "revised"]
    assert [f.presence for f in talk.session.view.exam.findings] == ["absent"]


# Time and people


def test_a_bird_long_in_hand_is_told_at_each_limit(talk: Any) -> None:
    talk.say("bird ada comb red", 10.0)
    assert "too-long" not in talk.wait(69.0)
    assert "too-long" in talk.wait(71.0)
    assert "too-long" not in talk.wait(72.0)
    assert "too-long" in talk.wait(131.0)
    talk.say("next bird", 140.0)
    assert talk.wait(400.0) == []


def test_the_examiner_is_kept_with_each_bird(talk: Any) -> None:
    events = []
    for number, text in enumerate(["bird ada comb red", "change over", "crop good", "next bird",
                                   "bird bea comb red", "next bird"]):
        events += talk.events(text, 4.0 * number)
    assert [event.examiner for event in events if event.name == "bird-closed"] == ["pat", "robin"]


def test_another_examiner_can_be_taken_back(talk: Any) -> None:
    talk.say("change over", 0.0)
    assert talk.session.view.examiner == "robin"
    assert talk.say("scratch that", 2.0) == ["command", "examiner"]
    assert talk.session.view.examiner == "pat"


def test_keeping_is_asked_of_the_log(talk: Any) -> None:
    talk.say("bird ada comb red", 0.0)
    (closed,) = [e for e in talk.events("keep this exam", 4.0) if e.name == "bird-closed"]
    assert closed.keep


def test_a_bird_that_was_in_hand_when_it_was_cut_off(talk: Any) -> None:
    assert talk.say("same bird again", 0.0) == ["command", "warning"], "nothing was cut off"
    talk.session.offer(Bird(name="ada"))
    assert talk.say("same bird again", 2.0) == ["command", "bird"]
    talk.say("crop good", 4.0)
    assert talk.session.view.exam.bird.name == "ada"
    talk.say("scratch that", 6.0)
    talk.say("scratch that", 8.0)
    assert not talk.session.view.exam.bird.known
