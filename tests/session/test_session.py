"""Sessions without a terminal: what is asked, what is taken, what is refused, and that nothing is lost."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sessions import TODAY, begun, goes_to, readings, told

from diagnose.case.from_yaml import case_from_text
from diagnose.pipeline import Bench
from diagnose.session.session import Session

TOP = Path(__file__).parent.parent.parent


def test_it_begins_with_the_complaint_the_gate_and_the_family(session: Session) -> None:
    asked = []
    for typed in ("blue estate", "overheats", "no", "safe", "unknown"):
        asked.append((session.question().kind, session.question().quantity))
        assert session.answer(typed).taken
    assert asked == [("title", ""), ("value", "complaint"), ("value", "hybrid"), ("value", "opening"), ("family", "")]


def test_it_then_asks_what_the_choice_proposes(session: Session) -> None:
    begun(session)
    assert session.standing is not None
    session.answer("no")  # ask_complaint is in hand and asks about overheating as well
    first = session.standing.offered[0].test
    assert session.question().test == first.id


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("6.5", "6.5"),
        ("9..11", "9..11"),
        ("> 9", "> 9"),
        ("aci", "acid"),
        ("high or low", "low or high"),
        ("unknown", "unknown"),
        ("nobody knows", "unknown"),
    ],
)
def test_any_honest_answer_is_taken(session: Session, typed: str, value: str) -> None:
    begun(session)
    goes_to(session, "ph", "ph_meter")
    assert session.answer(typed).taken
    assert readings(session)["ph", "meter"] == value


@pytest.mark.parametrize("typed", ["-29 degC", "-20 degF", "44 %", "30 Brix", "40..44"])
def test_any_unit_of_the_quantity_is_taken(session: Session, typed: str) -> None:
    begun(session)
    goes_to(session, "mixture", "refractometer")
    assert session.answer(typed).taken
    assert readings(session)["mixture", "refractometer"] == typed


def test_how_it_was_taken_and_a_note_stand_behind_the_value(session: Session) -> None:
    begun(session)
    goes_to(session, "mixture", "refractometer")
    assert session.answer("44 %; sample 35 degC; compensated no; second try").taken
    entry = case_from_text(session.text, "t").readings[-1]
    assert [(each.name, each.text) for each in entry.taken_at] == [("sample", "35 degC"), ("compensated", "no")]
    assert entry.note == "second try"


def test_another_instrument_than_the_one_asked_for(session: Session) -> None:
    begun(session)
    goes_to(session, "ph", "ph_meter")
    assert session.answer("9..11; by pad").taken
    assert readings(session)["ph", "pad"] == "9..11"
    assert readings(session)["ph", "meter"] == "not done"


REFUSED = [
    "19",
    "9,500",
    "seven",
    "44 %",
    "-3",
    "6 to",
    "a\tb",
    "\x1b[2J",
    "\udcff",
    "",
    "  ",
    "x" * 5000,
    "{",
    "'",
    "[]",
    ": #",
]


@pytest.mark.parametrize("typed", REFUSED)
def test_what_is_no_answer_gets_a_sentence_and_the_same_question(session: Session, typed: str) -> None:
    begun(session)
    goes_to(session, "ph", "ph_meter")
    before, question = session.text, session.question()
    reply = session.answer(typed)
    assert reply.lines
    assert not reply.taken
    assert (session.text, session.question()) == (before, question)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.text(max_size=40) | st.sampled_from(["back", "other", "all", "1", "unknown", "can't do", "why"]), max_size=8
    )
)
def test_anything_at_any_prompt_leaves_a_usable_case(bench: Bench, lines: list[str]) -> None:
    session = Session(bench, "", "estate", TODAY)
    for typed in lines:
        session.answer(typed)
        session.question()
        if session.text:
            case_from_text(session.text, "t")


def test_after_a_warm_run_the_gate_is_asked_again(session: Session) -> None:
    begun(session, "no")
    goes_to(session, "thermostat", "thermostat_check")
    session.answer("opens_right")
    assert readings(session)["opening", "hose_and_thermometer"] == "not done"
    session.answer("other ph_meter")
    assert session.question().quantity == "opening"
    session.answer("safe")
    assert session.question().quantity == "ph"


def test_nothing_that_opens_is_asked_while_it_may_not_be_opened(session: Session) -> None:
    for typed in ("blue estate", "loses_coolant", "not_safe", "organic_acid"):
        session.answer(typed)
    for _ in range(12):
        question = session.question()
        test = session.test(question)
        if test is None:
            break
        assert not test.opens
        session.answer("not_safe" if question.quantity == "opening" else "unknown")


def test_a_test_that_can_not_be_done_is_put_aside_as_a_whole(session: Session) -> None:
    begun(session, "no")
    session.answer("other look_and_smell")
    assert "Put aside as a whole" in told(session, "can't do")
    assert [readings(session)[name] for name in (("look", "eye"), ("smell", "nose"))] == ["not done", "not done"]
    assert session.question().test != "look_and_smell"


def test_one_question_of_a_test_can_be_left_out(session: Session) -> None:
    begun(session, "no")
    session.answer("other look_and_smell")
    session.answer("brown")
    assert session.answer("can't do").taken
    assert session.question().quantity == "smell"


def test_back_undoes_one_answer(session: Session) -> None:
    begun(session)
    before, question = session.text, session.question()
    session.answer("low")
    assert session.text != before
    session.answer("back")
    assert (session.text, session.question()) == (before, question)


def test_a_word_that_is_an_answer_and_a_command_is_asked_about(session: Session) -> None:
    begun(session, "no")
    goes_to(session, "bubbles_after_bleeding", "bleed_and_watch")
    assert "two things" in told(session, "stop")
    assert not session.over
    assert session.answer("answer stop").taken
    assert readings(session)["bubbles_after_bleeding", "eye"] == "stop"


def test_how_tells_the_cautions_first(session: Session) -> None:
    begun(session, "no")
    session.answer("other gas_colour")
    lines = [line.text for line in session.answer("how").lines]
    cautions = [number for number, line in enumerate(lines) if line.startswith("Caution: ")]
    assert cautions == list(range(len(cautions)))
    assert cautions


def test_why_tells_what_each_answer_speaks_for(session: Session) -> None:
    begun(session)
    assert "low" in told(session, "why")


def test_a_session_begun_again_asks_the_same(bench: Bench, session: Session) -> None:
    answers = ["at_speed", "other look_and_smell", "brown", "none", "exhaust"]
    begun(session)
    for typed in answers:
        again = Session(bench, session.text, "estate", TODAY)
        assert again.question() == session.question()
        session.answer(typed)


def test_a_test_that_is_done_once_more_goes_on_where_it_was_too(bench: Bench, session: Session) -> None:
    begun(session, "at_speed", "other look_and_smell", "brown", "none", "exhaust", "none")
    for typed in ("other look_and_smell", "clear", "oil", "none", "foams"):
        session.answer(typed)
        again = Session(bench, session.text, "estate", TODAY)
        assert again.question() == session.question()
    assert [text for (name, _), text in readings(session).items() if name in ("look", "film", "smell", "foam")] == [
        "clear",
        "oil",
        "none",
        "foams",
    ]


HAND = """\
id: estate
date: 2026-03-01
title: estate
family: organic_acid
history: {top_up: water}
complaint: loses_coolant
readings:
  - {quantity: opening, value: safe}
  - {quantity: ph, value: 8.1, method: meter, note: second try}  # by the apprentice
  - {quantity: level, value: low}   # on level ground
"""


def test_back_without_an_answer_in_this_sitting_asks_for_what_stands_last_and_deletes_nothing(bench: Bench) -> None:
    session = Session(bench, HAND, "estate", TODAY)
    first = session.question()
    told(session, "back")
    question = session.question()
    assert (question.quantity, question.method, question.test) == ("level", "eye", "read_level")
    assert question.before == "It stands as: low, eye."
    assert session.text == HAND
    assert told(session, "keep") == "It stays as it is."
    assert (session.text, session.question()) == (HAND, first)


def test_a_new_answer_takes_the_place_of_what_stood_there_and_can_be_undone(bench: Bench) -> None:
    session = Session(bench, HAND, "estate", TODAY)
    told(session, "back")
    told(session, "back")
    assert session.question().quantity == "ph"
    assert "Not taken" in told(session, "19")
    assert session.question().quantity == "ph"
    assert session.answer("7.2").taken
    assert session.text == HAND.replace("8.1", "7.2")
    assert told(session, "back") == "The last answer is undone."
    assert (session.text, session.question().quantity) == (HAND, "ph")


def test_back_goes_through_all_that_stands_there_and_says_where_it_ends(bench: Bench) -> None:
    session = Session(bench, HAND, "estate", TODAY)
    asked = []
    while "Nothing stands before" not in told(session, "back"):
        asked.append((session.question().kind, session.question().quantity))
    assert asked == [
        ("value", "level"),
        ("value", "ph"),
        ("value", "opening"),
        ("value", "top_up"),
        ("family", ""),
        ("value", "complaint"),
    ]
    session.answer("overheats")
    session.answer("back")
    session.answer("keep")
    assert session.text == HAND


def test_what_was_done_at_the_visit_before_can_be_put_right_too(bench: Bench) -> None:
    text = HAND + "work: {service: replace, repaired: leak_radiator, mixture: 50 %}\nvisits:\n  - date: 2026-03-01\n"
    session = Session(bench, text, "estate", TODAY)
    session.answer("back")
    assert session.question().kind == "repaired"
    assert "It stands as: leak_radiator." in session.question().before
    assert session.answer("leak_hose_or_clip").taken
    session.answer("stop")
    assert session.text == text.replace("leak_radiator", "leak_hose_or_clip")
    again = Session(bench, session.text, "estate", TODAY)
    for _ in range(3):
        again.answer("back")
    assert again.question().kind == "done"
    assert again.answer("correct").taken
    assert "service: correct" in again.text


def test_a_reading_that_needs_the_cap_off_is_put_right_without_opening_anything(bench: Bench) -> None:
    session = Session(bench, HAND.replace("opening, value: safe", "opening, value: not_safe"), "estate", TODAY)
    session.answer("back")
    assert "The cap stays on" in told(session, "back")


def test_a_new_visit_begins_with_nothing_in_hand(bench: Bench) -> None:
    session = Session(bench, HAND + "in_hand: look_and_smell\n", "estate", date(2026, 9, 1))
    session.answer("new")
    assert "in_hand: none" in session.text


ALKALINE = """\
id: estate
date: 2026-03-01
title: estate
family: unknown
complaint: routine
readings:
  - {quantity: opening, value: safe}
  - {quantity: ph, value: 9.5, method: meter}
  - {quantity: mixture, value: 50 %}
in_hand: none
"""


def test_the_family_is_looked_for_where_the_decision_hangs_on_it(bench: Bench) -> None:
    session = Session(bench, ALKALINE, "estate", TODAY)
    question = session.question()
    assert (question.kind, question.test) == ("family", "find_the_family")
    assert any("colour" in line.text for line in session.answer("how").lines)
    assert "the limit hangs on the coolant family" in told(session, "why")
    assert session.answer("conventional").taken
    assert Session(bench, session.text, "estate", TODAY).question() == session.question()
    assert session.question().quantity == "family_told_by"
    assert session.answer("invoice").taken
    assert "family: conventional" in session.text
    assert "family_told_by: invoice" in session.text
    assert session.standing is not None
    assert session.standing.plan.decision.service.id == "keep"
    assert session.question().test != "find_the_family"


@pytest.mark.parametrize(("typed", "written"), [("nobody knows", "unknown"), ("can't do", "not done")])
def test_a_family_that_nobody_finds_is_not_asked_for_again(bench: Bench, typed: str, written: str) -> None:
    session = Session(bench, ALKALINE, "estate", TODAY)
    assert session.answer(typed).taken
    assert f"family_told_by: {written}" in session.text
    question = session.question()
    assert (question.kind, question.test) == ("family", "laboratory")  # what names the inhibitors is left
    assert "laboratory" in question.asks
    assert Session(bench, session.text, "estate", TODAY).question() == question
    assert session.answer("can't do").taken
    assert session.question().kind != "family"


def test_a_family_that_was_told_wrongly_can_be_looked_for_once_more(bench: Bench) -> None:
    session = Session(bench, ALKALINE.replace("family: unknown", "family: hybrid"), "estate", TODAY)
    session.answer("other find_the_family")
    assert session.question().kind == "family"
    assert "a family" not in told(session, "none such")
    session.answer("conv")
    session.answer("label")
    assert "family: conventional" in session.text
    assert "in_hand: none" in session.text


def test_a_family_that_is_told_at_a_later_visit_holds_from_there_on(bench: Bench) -> None:
    text = ALKALINE.replace("family: unknown\n", "") + "work: {service: nothing, repaired: nothing}\nvisits:\n"
    session = Session(bench, text + "  - {date: 2026-03-01, complaint: routine}\n", "estate", TODAY)
    session.answer("no")
    session.answer("safe")
    assert session.question().kind == "family"
    session.answer("organic_acid")
    assert session.question().kind != "family"
    case = case_from_text(session.text, "t")
    assert case.families == ()
    assert [named.name for named in case.visits[0].families or ()] == ["organic_acid"]


def test_comments_and_order_of_a_case_written_by_hand_survive(bench: Bench) -> None:
    text = """\
# my notes
id: estate
date: 2026-03-01
title: estate  # the blue one
family: organic_acid
complaint: loses_coolant   # said on the phone
readings:
  - {quantity: opening, value: safe}
  # smelled of nothing
"""
    session = Session(bench, text, "estate", TODAY)
    while session.question().quantity != "overheating":
        session.answer("other ask_complaint")
    session.answer("at_speed")
    session.answer("note seen on the hill")
    for line in text.splitlines():
        assert line in session.text.splitlines()


def test_a_case_of_an_earlier_day_is_gone_on_with_or_comes_back(bench: Bench, session: Session) -> None:
    begun(session, "no")
    goes_to(session, "ph", "ph_meter")
    session.answer("6.5")
    later = Session(bench, session.text, "estate", date(2026, 9, 1))
    assert later.question().kind == "visit"
    later.answer("new")
    assert later.question().kind == "done"
    for typed in ("replace", "50 %", "nothing", "routine", "safe"):
        assert later.answer(typed).taken
    goes_to(later, "ph", "ph_meter")
    assert "6.5" in later.question().before
    later.answer("8.1")
    case = case_from_text(later.text, "t")
    assert [(entry.name, entry.text) for entry in case.readings][-1] == ("ph", "6.5")
    assert case.visits[0].readings[-1].text == "8.1"
    assert case.work is not None
    assert case.work.mixture == "50 %"


def test_a_clock_set_back_changes_no_date(bench: Bench, session: Session) -> None:
    begun(session)
    early = Session(bench, session.text, "estate", date(2020, 1, 1))
    assert any("is the clock right" in line.text for line in early.opening())
    assert early.question().kind != "visit"
    early.answer("no")
    assert case_from_text(early.text, "t").date == TODAY


def test_a_book_without_complaint_and_gate_has_a_session_too() -> None:
    small = Session(Bench(TOP / "tests" / "books" / "small", "plain"), "", "one", TODAY)
    for typed in ("a car", "unknown"):
        assert small.answer(typed).taken
    assert small.question().kind in ("value", "test")
