"""What is said after a call and what followed from it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from calllog.pairing import EDITION
from calllog.readback import (
    SILENCE,
    Notice,
    Saying,
    Tone,
    Verbosity,
    answer,
    in_force,
    notice,
    rehearsal,
)
from calllog.readback.words import phrases, read_back
from calllog.resources import read_grammar
from calllog.spoken import Grammar, Parser
from calllog.values import (
    BookPolicy,
    Call,
    CheckPolicy,
    Choice,
    Conditions,
    Fact,
    Kind,
    Message,
    Question,
    Role,
    Style,
    Void,
    message,
)
from tests.crew import Crew, settings

TAKE = ("r: thirty three", "h: eighty seven", "u: switch ends")
AGREED = (*TAKE, "h: thirty three", "r: eighty seven")
DIFFERS = (*TAKE, "h: thirty two", "r: eighty seven")

Answer = Callable[..., Saying]


@pytest.fixture
def last(grammar: Grammar) -> Answer:
    """Say what the crew hears after the last thing that it did."""

    def reply(crew: Crew, *spoken: str, verbosity: Verbosity = Verbosity.ALL) -> Saying:
        *before, final = spoken
        crew.say(*before)
        known = len(crew.followed)
        crew.say(final)
        return answer(
            grammar,
            crew.heard[-1],
            crew.followed[known:],
            verbosity=verbosity,
            calls=crew.heard,
        )

    return reply


@pytest.mark.parametrize(
    ("spoken", "words"),
    [
        (("r: thirty three",), "thirty three"),
        (("r: thirty three", "h: oh five"), "oh five"),
        (("h: four two",), "forty two"),
        (("r: fifteen forty two",), "fifteen forty two"),
        (("r: full tape",), "full tape"),
        (TAKE, "switch ends"),
        (("u: forty two",), "forty two"),
        (("r: temperature four one",), "temperature forty one"),
        (("r: temperature one hundred five",), "temperature one hundred five"),
        (("r: tension twenty pounds",), "tension twenty"),
        (("h: swap ends",), "before switching. pull one waits for the first"),
        (("r: supported at the ends",), "ends only"),
        (("r: at the knee",), "at the knee"),
        (("r: rise one point two five",), "rise one point twenty five"),
        (("r: tape is level",), "tape is level"),
        (("r: holding one",), "holding one"),
    ],
)
def test_what_is_taken_is_read_back(
    last: Answer, parser: Parser, spoken: tuple[str, ...], words: str
) -> None:
    """Read-back is the value as it was taken, not the sound of it; silence is consent."""
    crew = Crew(parser)
    said = last(crew, *spoken)
    assert said.words == words
    assert said.tone is (Tone.QUESTION if "before" in words else Tone.HEARD)
    is_condition = crew.heard[-1].kind is Kind.CONDITION
    assert said.is_read_back is (said.tone is Tone.HEARD and not is_condition)


def test_condition_is_read_back_where_calls_are_not(last: Answer, parser: Parser) -> None:
    """It counts for long, so it is heard before it does; no later call takes its place."""
    said = last(Crew(parser), "r: temperature six eight", verbosity=Verbosity.RESULTS)
    assert said == Saying(Tone.HEARD, "temperature sixty eight")
    assert not last(Crew(parser), "r: fifteen", verbosity=Verbosity.RESULTS).words
    silent = last(Crew(parser), "r: temperature six eight", verbosity=Verbosity.TONES)
    assert (silent.tone, silent.words) == (Tone.HEARD, "")


def test_condition_that_is_struck_is_named(last: Answer, parser: Parser) -> None:
    """Who contradicts the read-back hears what counts no more."""
    crew = Crew(parser, settings(pairing=EDITION))
    said = last(crew, "r: temperature eight six", "h: strike that")
    assert said.words == "struck temperature eighty six"


@pytest.mark.parametrize(
    ("conditions", "words"),
    [
        (Conditions(), ""),
        (Conditions(rise_ft=1.0, hold=100), ""),
        (
            Conditions(temperature_degf=-4.5, tension_lb=20, spans=1, position="waist"),
            (
                "temperature minus four point five degrees, tension twenty pounds, ends only,"
                " at the waist"
            ),
        ),
        (Conditions(spans=3), "temperature not stated, tension not stated, three equal spans"),
    ],
)
def test_what_runs_on_is_said_with_what_is_not_known(
    grammar: Grammar, conditions: Conditions, words: str
) -> None:
    """Only what runs on; where nothing was stated there is nothing to say."""
    assert in_force(grammar, conditions) == words


def test_what_runs_on_is_said_in_the_crew_s_unit_and_language() -> None:
    """Degrees Celsius and newtons on a metric tape; Spanish words in Spanish."""
    conditions = Conditions(temperature_degf=68.0, tension_lb=20, spans=0)
    metric = in_force(read_grammar("en-metric"), conditions)
    assert metric.startswith("temperature twenty degrees, tension eighty eight point")
    assert metric.endswith("newtons, supported throughout")
    spanish = in_force(read_grammar("es-feet"), conditions)
    assert spanish == (
        "temperatura sesenta y ocho grados, tensión veinte libras, apoyada en todo el largo"
    )


def test_agreement_says_the_pull_and_its_length(last: Answer, parser: Parser) -> None:
    """A booked segment has its own tone; its length stands in for the read-back of the call."""
    said = last(Crew(parser), *AGREED)
    assert said == Saying(Tone.AGREES, "pull one, thirty three eighty seven")


def test_cut_tape_books_what_it_says(last: Answer, parser: Parser) -> None:
    """The length is spoken after the graduation's reduction: that is what stands in the log."""
    said = last(
        Crew(parser, settings(Style.CUT)),
        "r: sixteen",
        "h: fifty eight",
        "h: switch ends",
        "h: sixteen",
        "r: fifty eight",
    )
    assert said.words == "pull one, fifteen forty two"


def test_mean_between_two_hundredths_is_said(last: Answer, parser: Parser) -> None:
    """A mean of 33.875 is not rounded in speech."""
    line = settings(book=BookPolicy.MEAN)
    said = last(Crew(parser, line), *AGREED[:-1], "r: eighty eight")
    assert said == Saying(Tone.AGREES, "pull one, thirty three eighty seven and a half")


def test_stop_says_three_words_and_the_rest_on_request(last: Answer, parser: Parser) -> None:
    """The stop comes first; figures in the rest are digit-safe, the remedy is last."""
    said = last(Crew(parser), *DIFFERS)
    assert (said.tone, said.words) == (Tone.STOP, "stop, one foot")
    assert said.whole.words == (
        "stop. pull one. first thirty three point eighty seven, check thirty two point eighty"
        " seven. exactly one foot apart. another foot mark was held, read or called. see which"
        " foot mark is held and which is read, and measure again"
    )
    assert not said.is_read_back


def test_calls_over_a_stop_are_told_to_wait(last: Answer, parser: Parser) -> None:
    """A crew that goes on without having heard the stop hears of it again."""
    said = last(Crew(parser), *DIFFERS, "r: forty")
    assert said == Saying(Tone.QUESTION, "held. pull one waits")


def test_decided_pull_does_not_sound_as_agreement(grammar: Grammar, parser: Parser) -> None:
    """What the chief kept is booked, but nothing agreed; calls that waited follow in one go."""
    crew = Crew(parser).say(*DIFFERS, "r: forty", "h: ten")
    known = len(crew.followed)
    crew.decide(Choice.FIRST)
    said = answer(grammar, None, crew.followed[known:], calls=crew.heard)
    assert said == Saying(Tone.HEARD, "pull one, first kept, thirty three eighty seven")
    crew = Crew(parser).say(*DIFFERS).decide(Choice.CHECK)
    assert answer(grammar, None, crew.followed[-1:]).words == (
        "pull one, check kept, thirty two eighty seven"
    )


def test_unchecked_pull_does_not_sound_as_agreement(last: Answer, parser: Parser) -> None:
    """Booked without a check is said so."""
    line = settings(policy=CheckPolicy.NONE)
    said = last(Crew(parser, line), "r: thirty three", "h: eighty seven", "u: next pull")
    assert said == Saying(Tone.HEARD, "pull one, not checked, thirty three eighty seven")


def test_scratched_call_is_named(last: Answer, parser: Parser) -> None:
    """The crew hears which call was struck, and when a booked pull is open again."""
    said = last(Crew(parser), "r: thirty three", "r: strike that")
    assert said == Saying(Tone.HEARD, "struck thirty three")
    said = last(Crew(parser), *AGREED, "r: strike that")
    assert said.words == "struck eighty seven. pull one is open again"


def test_call_typed_over_another_names_both(grammar: Grammar, parser: Parser) -> None:
    """What a key overrides is said beside the new value."""
    crew = Crew(parser).say("r: thirty three", "r: thirty four")
    heard, typed = crew.heard
    said = answer(grammar, typed, (Void(call=heard.number, pull=1),), calls=crew.heard)
    assert said == Saying(Tone.HEARD, "thirty four, not thirty three")


def test_scratch_without_the_call_still_says_so(grammar: Grammar) -> None:
    """Where the struck call is not at hand, the word alone is said."""
    assert answer(grammar, None, (Void(call=7, pull=1),)).words == "struck that"


def test_question_is_spoken(last: Answer, parser: Parser) -> None:
    """A call that may mean two things is asked again in figures that cannot be misheard."""
    said = last(Crew(parser), "r: thirty three", "h: seven")
    assert said.tone is Tone.QUESTION
    assert said.words == "seven may be point oh seven or point seventy. say both digits"


@pytest.mark.parametrize(
    ("code", "facts", "short"),
    [
        ("said-under-voice", {}, "rear, again"),
        ("not-sure-of", {"said": "four two"}, "four two. say again"),
        (
            "who-holds-whole",
            {"about": "holder", "first": 5822, "other": 2258, "holder": "rear"}
            | {"other_holder": "head"},
            "who holds the foot",
        ),
        (
            "who-holds-whole",
            {"about": "order", "first": 5822, "other": 2258},
            "is it fifty eight point twenty two or twenty two point fifty eight",
        ),
    ],
)
def test_question_asked_before_is_put_in_a_few_words(
    grammar: Grammar, code: str, facts: dict[str, Fact], short: str
) -> None:
    """The crew knows by then what is wanted; all of the words are said on request.

    What takes longer than twelve words is put in few from the first.
    """
    asked = Question(pull=1, role=Role.REAR, asks=Message(code=code, facts=facts))
    first = answer(grammar, None, (asked,))
    again = answer(grammar, None, (asked,), asked={code})
    at_length = first.whole.words
    assert (again.words, again.tone, again.whole.words) == (short, Tone.QUESTION, at_length)
    assert len(at_length) > len(short)
    is_long = len(at_length.split()) > 12
    assert first.words == (short if is_long else at_length)


@pytest.mark.parametrize(
    ("about", "how"),
    [
        ("holder", "say i've got the foot, or call the whole reading"),
        ("order", "call the whole reading"),
    ],
)
def test_question_put_again_says_how_it_is_answered(grammar: Grammar, about: str, how: str) -> None:
    """Its few words do not; another question does not count; the third time nothing else does."""
    facts: dict[str, Fact] = {"about": about, "first": 5822, "other": 2258}
    asked = Question(pull=1, role=Role.REAR, asks=message("who-holds-whole", **facts))
    code = asked.asks.code

    def put(*before: str) -> str:
        return answer(grammar, None, (asked,), asked={code}, unanswered=before).words

    assert put(code) == put(code, "not-sure-of") == how
    assert put("not-sure-of") == put() != how
    assert put(code, "not-sure-of", code) == put(code, code, code) == f"no call is taken. {how}"


def test_note_with_a_remedy_follows_the_read_back(last: Answer, parser: Parser) -> None:
    """A long gap is told without a question's tone; a difference within the tolerance is not."""
    said = last(Crew(parser, gap_s=75.0), "r: thirty three", "h: eighty seven")
    assert said == Saying(
        Tone.HEARD,
        "eighty seven. seventy five seconds between the parts of one measurement."
        " see whether they belong together",
    )
    said = last(Crew(parser), *AGREED[:-1], "r: eighty eight")
    assert said == Saying(Tone.AGREES, "pull one, thirty three eighty seven")


def test_crew_talk_is_met_with_silence(last: Answer, parser: Parser) -> None:
    """What is no call is not answered in any verbosity."""
    for verbosity in Verbosity:
        assert last(Crew(parser), "r: give me a foot", verbosity=verbosity) == SILENCE
        assert last(Crew(parser), "r: lunch", verbosity=verbosity).is_silent


@pytest.mark.parametrize(
    ("spoken", "tone", "speaks"),
    [
        (("r: thirty three",), Tone.HEARD, False),
        (TAKE, Tone.HEARD, False),
        (AGREED, Tone.AGREES, True),
        (DIFFERS, Tone.STOP, True),
        (("h: seven",), Tone.QUESTION, True),
        (("r: thirty three", "r: strike that"), Tone.HEARD, True),
    ],
)
def test_verbosity_takes_words_and_never_tones(
    last: Answer, parser: Parser, spoken: tuple[str, ...], tone: Tone, *, speaks: bool
) -> None:
    """*results* leaves out read-backs, *tones* every word; the tone is the same in all."""
    assert last(Crew(parser), *spoken, verbosity=Verbosity.TONES).words == ""
    assert bool(last(Crew(parser), *spoken, verbosity=Verbosity.RESULTS).words) is speaks
    assert {last(Crew(parser), *spoken, verbosity=each).tone for each in Verbosity} == {tone}


def test_decision_without_consequence_is_heard(grammar: Grammar) -> None:
    """*Measure again* from elsewhere than the crew's mouths sounds as heard."""
    assert answer(grammar, None, ()) == Saying(Tone.HEARD, "", is_read_back=True)


def _typed(grammar: Grammar, name: str, amount: float) -> str:
    call = Crew(Parser(grammar)).say("r: temperature ten").heard[0]
    return read_back(grammar, call.model_copy(update={"name": name, "amount": amount}))


def test_condition_that_no_phrase_states_is_read_back_by_name(grammar: Grammar) -> None:
    """Keys can state what the grammar cannot: frost, halves, more spans."""
    assert _typed(grammar, "temperature", -4.0) == "temperature minus four"
    assert _typed(grammar, "temperature", 41.5) == "temperature forty one point five"
    assert _typed(grammar, "spans", 3.0) == "spans three"
    assert _typed(grammar, "spans", -1.0) == "spans minus one"


def test_unknown_command_is_read_back_as_it_was_called(grammar: Grammar, parser: Parser) -> None:
    """A command that the grammar has no phrase for is said as it stands in the job."""
    call = Crew(parser).say("u: switch ends").heard[0]
    other: Call = call.model_copy(update={"name": "unheard of", "text": "remark 2"})
    assert read_back(grammar, other) == "remark two"
    assert other.kind is Kind.COMMAND


def test_notices_warn(grammar: Grammar) -> None:
    """Devices and noise have a tone of their own, with words unless only tones are wanted."""
    assert notice(grammar, Notice.TOO_LOUD) == Saying(Tone.WARN, "too loud")
    assert notice(grammar, Notice.TOO_LOUD, verbosity=Verbosity.TONES) == Saying(Tone.WARN, "")
    question = Question(pull=1, role=Role.HEAD, asks=message("as-told", words="which foot?"))
    assert answer(grammar, None, (question,)).words == "which foot"


def test_words_are_split_at_their_pauses() -> None:
    """Each phrase is rendered by itself while the one before it sounds."""
    assert phrases("stop. pull three, thirty three") == (
        ("stop", "."),
        ("pull three", ","),
        ("thirty three", ""),
    )
    assert phrases("") == ()


def test_rehearsal_holds_each_read_back_of_a_part(grammar: Grammar) -> None:
    """A slow voice has every whole foot and all hundredths ready before they are called."""
    ready = set(rehearsal(grammar))
    assert {"zero", "thirty three", "one hundred", "oh five", "switch ends", "pull"} <= ready
    assert "temperature" in ready


def test_a_fall_is_read_back_as_it_was_said(last: Answer, parser: Parser) -> None:
    """A rise downward has words of its own; tenths of a pound are said."""
    assert last(Crew(parser), "r: fall two point one").words == "fall two point ten"
    assert last(Crew(parser), "r: rise two point one").words == "rise two point ten"
    said = last(Crew(parser), "r: tension fifteen point five pounds").words
    assert said == "tension fifteen point five"
    assert (
        last(Crew(parser), "r: temperature sixty eight degrees").words == "temperature sixty eight"
    )
