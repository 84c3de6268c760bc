"""Who holds the foot, said by the one who does: asked or not, in every phase, in doubt or twice."""

from __future__ import annotations

from dataclasses import replace

import pytest

from calllog.pairing import EDITION, Phase, step
from calllog.readback import answer
from calllog.resources import read_grammar
from calllog.spoken import Meaning, Parser
from calllog.values import (
    AfterCheck,
    CalledFirst,
    CheckPolicy,
    Choice,
    Expectation,
    Kind,
    Question,
    Role,
    Void,
)
from calllog.wording import ENGLISH
from tests.crew import Crew, settings

BACK = ("r: fifteen", "h: forty two", "h: switch ends", "h: fifteen", "r: forty two")
ON = ("h: eighty three", "r: forty four")
"""The take of a pull of 83.44 by two who walked on."""
ON_CHECK = ("h: switch ends", "r: eighty three", "h: forty four")
MINE = {"h": "h: i have the foot", "r": "r: i've got the foot"}


@pytest.fixture
def crew(parser: Parser) -> Crew:
    """Begin a live line by the newest rules."""
    return Crew(parser, settings(pairing=EDITION), is_live=True)


@pytest.mark.parametrize("words", ["i have the foot", "i've got the foot"])
def test_who_has_the_foot_answers_the_question(crew: Crew, words: str) -> None:
    """Head does, after walking on: the take is placed so, and the crew's habit follows."""
    crew.say(*BACK, *ON)
    assert crew.codes == ["who-holds-whole"]
    crew.say(f"h: {words}", *ON_CHECK)
    assert (crew.lengths, len(crew.questions)) == ([15.42, 83.44], 1)
    assert crew.state.habit.after is AfterCheck.ON


def test_the_other_way_round_is_taken_as_told(crew: Crew) -> None:
    """Rear does, and the hundredths were called first."""
    crew.say(
        "h: forty two", "r: fifteen", MINE["r"], "h: switch ends", "h: fifteen", "r: forty two"
    )
    assert (crew.lengths, len(crew.questions)) == ([15.42], 1)


def test_who_walks_on_may_say_so_before_a_pull(crew: Crew) -> None:
    """Then nothing is asked at all; without it the crew would be asked."""
    crew.say(*BACK, MINE["h"], *ON, *ON_CHECK)
    assert (crew.lengths, crew.questions) == ([15.42, 83.44], [])


WRONGLY = (*BACK, "r: thirty three", MINE["h"], "h: twenty two", MINE["r"])
"""Rear has the foot at 33; head says that it is theirs, and rear that it is not."""
ON_THEY_CALL = ("h: switch ends", "h: thirty three", "r: twenty two")


def test_who_took_the_foot_wrongly_for_theirs_is_asked_which_is_the_foot(crew: Crew) -> None:
    """The take is turned round then, and the check agrees with what is true."""
    crew.say(*WRONGLY)
    (question,) = (each for each in crew.followed if isinstance(each, Question))
    assert ENGLISH.question(question) == "is it 22.33 or 33.22? call the whole reading"
    crew.say("r: thirty three twenty two", *ON_THEY_CALL)
    assert crew.lengths == [15.42, 33.22]


def test_what_contradicts_is_not_recorded_though_the_crew_calls_on(crew: Crew) -> None:
    """The check would agree with a take that is turned round: 22.33 was recorded, agreed."""
    crew.say(*WRONGLY, *ON_THEY_CALL, MINE["h"], MINE["r"], "u: next pull", "u: line finished")
    assert (crew.lengths, crew.state.phase) == ([15.42], Phase.TAKEN)
    assert set(crew.codes) == {"who-holds-whole"}
    crew.say("r: measure again", "r: thirty three", "h: twenty two", MINE["r"], *ON_THEY_CALL)
    assert crew.lengths == [15.42, 33.22]


def test_so_it_is_where_it_is_said_in_the_check(crew: Crew) -> None:
    """Rear said that they hold it, wrongly, and says it again where head must hold it."""
    take = (MINE["r"], "r: thirty three", "h: twenty two", "h: switch ends")
    crew.say(*take, MINE["r"], "r: twenty two", "h: thirty three")
    assert (crew.lengths, set(crew.codes)) == ([], {"who-holds-whole"})
    crew.say("r: twenty two thirty three", "r: twenty two", "h: thirty three")
    assert (crew.lengths, crew.state.habit.first) == ([22.33], CalledFirst.UNSAID)


def test_the_answer_is_no_check(crew: Crew) -> None:
    """It says which number is which; the check is still to be called."""
    crew.say(MINE["r"], *BACK[:3], MINE["r"], "r: fifteen forty two")
    assert (crew.lengths, crew.state.phase) == ([], Phase.CHECKING)
    assert crew.say(*BACK[3:]).lengths == [15.42]


def test_word_that_contradicts_can_be_struck(crew: Crew) -> None:
    """Then all stands as before it."""
    crew.say(*BACK[:2], MINE["h"], "h: strike that")
    assert Void(call=3, pull=1) in crew.followed
    assert crew.say(*BACK[2:]).lengths == [15.42]


def test_what_goes_one_way_alone_is_not_asked(crew: Crew) -> None:
    """Nobody's foot is called "zero five": they are told how it stands."""
    crew.say("r: fifteen", "h: zero five", MINE["h"])
    assert crew.questions == ["take-held-otherwise holder=rear"]
    told = ENGLISH.question(next(x for x in crew.followed if isinstance(x, Question)))
    assert told.index("if that is wrong, measure again") < told.index("switch ends")
    assert crew.say("h: switch ends", "h: fifteen", "r: zero five").lengths == [15.05]


def test_recorded_it_stops(parser: Parser) -> None:
    """Nobody can be asked: the office decides which number is the foot."""
    crew = Crew(parser, settings(pairing=EDITION)).say(*WRONGLY, *ON_THEY_CALL)
    assert (crew.state.phase, crew.findings[-1]) == (Phase.STOPPED, "who-holds-whole")
    assert crew.decide(Choice.CHECK).lengths == [15.42, 33.22]


def test_older_line_is_told_and_goes_on(parser: Parser) -> None:
    """Edition 2 takes what is called next."""
    crew = Crew(parser, settings(pairing=2), is_live=True).say(*WRONGLY, *ON_THEY_CALL)
    assert (crew.lengths, crew.codes) == ([15.42, 22.33], ["take-held-otherwise"])


def test_it_is_read_back_by_name_of_the_end(crew: Crew) -> None:
    """The program does not claim to hold the foot itself."""
    crew.say(*BACK, MINE["h"])
    grammar = read_grammar()
    assert answer(grammar, crew.heard[-1], ()).words == "head holds the foot"
    told = crew.heard[-1].model_copy(update={"role": Role.REAR})
    assert answer(grammar, told, ()).words == "rear holds the foot"


def test_after_the_take_it_does_not_turn_it_round(crew: Crew) -> None:
    """They have switched without saying so: taken for the take, 15.42 would become 42.15."""
    crew.say(*BACK[:2], MINE["h"])
    assert crew.codes == ["who-holds-whole"]
    assert crew.say("h: fifteen forty two", *BACK[2:]).lengths == [15.42]
    again = Crew(crew.parser, settings(pairing=EDITION), is_live=True).say(*BACK[:2], MINE["r"])
    assert (again.questions, again.state.phase) == ([], Phase.TAKEN)


def test_key_after_the_take_does_not_turn_it_round(crew: Crew) -> None:
    """What the key says is what the voice says."""
    crew.say(*BACK[:2]).tell("h")
    assert len(crew.questions) == 1
    assert crew.say("h: fifteen forty two", *BACK[2:]).lengths == [15.42]


def test_in_the_check_it_is_the_other_one(crew: Crew) -> None:
    """Who held it in the take cannot hold it now."""
    crew.say(MINE["r"], *BACK[:3], MINE["h"], *BACK[3:])
    assert (crew.lengths, crew.questions) == ([15.42], [])
    crew.say(MINE["r"], *BACK[:3], MINE["r"])
    assert crew.codes[0] == "who-holds-whole"


def test_it_is_asked_where_it_was_not_heard_surely(crew: Crew) -> None:
    """Talk heard so would turn the pull round; said twice by the same one it counts."""
    crew.say(*BACK).hear("h: i have the foot 0.8")
    assert crew.questions == ["not-sure-of said=i have the foot"]
    crew.hear("r: i have the foot 0.8")
    assert len(crew.questions) == 2
    crew.hear("r: i have the foot 0.8")
    assert (len(crew.questions), crew.state.holder) == (2, Role.REAR)


def test_heard_on_both_microphones_it_is_nobodys(crew: Crew) -> None:
    """Whose it is, is asked, and the habit holds until it is told."""
    crew.say(*BACK, MINE["h"])
    mine = crew.heard[-1]
    heard = mine.model_copy(
        update={"number": 99, "source": "paper#2", "role": Role.REAR, "start_s": mine.start_s + 0.1}
    )
    done = step(crew.state, heard)
    (asked,) = done.consequences
    assert isinstance(asked, Question)
    assert asked.asks.code == "heard-on-both"
    assert (done.state.holder, done.state.places.is_told) == (Role.REAR, False)
    crew.state = replace(done.state, last=None)
    crew.say(*ON)
    assert crew.codes[-1] == "who-holds-whole"


def test_one_microphone_cannot_tell_who_says_it(parser: Parser) -> None:
    """Where nobody's voice is known, a whole reading is asked for."""
    one = Crew(parser, settings(pairing=EDITION), is_live=True).say("u: i have the foot")
    assert one.questions == ["nobody-holds-whole"]


def test_older_line_knows_no_such_word(parser: Parser) -> None:
    """What was recorded by the rules of then follows by them."""
    older = Crew(parser, settings(policy=CheckPolicy.NONE), is_live=True).say("h: i have the foot")
    assert older.questions == ["nobody-holds-whole"]


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("en-us-feet", "i have the foot"),
        ("en-metric", "i've got the meter"),
        ("es-feet", "tengo el pie"),
        ("es-metric", "yo tengo el metro"),
    ],
)
def test_every_grammar_has_its_words(name: str, said: str) -> None:
    """Whatever is expected."""
    grammar = read_grammar(name)
    for expects in Expectation:
        found = Parser(grammar).parse(said, expects, 3_000)
        assert found == Meaning(Kind.COMMAND, name="caller-holds")


@pytest.mark.parametrize("language", ["en-us-feet", "en-metric", "es-feet"])
def test_what_the_question_tells_to_say_is_understood(language: str) -> None:
    """The words of the question are words of the grammar, but for the spelling of a metre."""
    grammar = read_grammar(language)
    asked = grammar.words(
        "who-holds-whole", about="holder", holder="head", first=-1, other_holder="rear", other=-1
    )
    tail = asked.lower().replace("metre", "meter")
    assert any(phrase in tail for phrase in grammar.commands["caller-holds"])
    assert ENGLISH.knows("take-held-otherwise")
