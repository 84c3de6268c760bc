"""The parts of ``make bench`` and ``make torture``, and what some of their figures should be."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from tests.measured.results import PEOPLE, ROOT


@dataclass(frozen=True, slots=True)
class Part:
    """Something that is measured by a command of its own."""

    name: str
    title: str
    about: str
    """What is measured and how, without a figure that could go stale."""
    command: tuple[str, ...]
    """Module and its words; ``PEOPLE`` stands for that folder."""
    minutes: float
    """About how long it takes on two cores; of the processor, for what is not timed."""
    is_asked: bool = False
    """Whether it is run only where it is named."""
    is_timed: bool = True
    """Whether it takes times, and wants the computer for itself."""

    @property
    def module(self) -> Path:
        """The file that measures."""
        place = ROOT / self.command[0].replace(".", "/")
        return place / "__main__.py" if place.is_dir() else place.with_suffix(".py")

    def words(self) -> list[str]:
        """Give the command as it is run."""
        people = os.environ.get(PEOPLE, "")
        return [people if each == PEOPLE else each for each in self.command]


@dataclass(frozen=True, slots=True)
class Aim:
    """What a figure should be at most, or at least."""

    what: str
    part: str
    table: str
    row: str
    column: str
    most: float | None = None
    least: float | None = None
    unit: str = ""
    kind: str = "bench"


BENCH = (
    Part(
        "journal",
        "The journal of a day",
        "A day's entries are written, opened and read, and verified.",
        ("tests.bench.bench_journal",),
        0.5,
    ),
    Part(
        "office",
        "The office's work on a thousand jobs",
        "Jobs of 26 pulls, each its own: tables, a workbook and a dataset of all in one run, pages "
        "in another; then one question of the dataset. Memory early and late shows whether it "
        "grows.",
        ("tests.bench.bench_office", "1000", "report, workbook, dataset", "pages"),
        15,
        is_asked=True,
    ),
    Part(
        "office-pdf",
        "The office's PDFs of a thousand jobs",
        "Jobs of 26 pulls, each its own: the pages of all and their PDFs in one run. Memory early "
        "and late shows whether it grows.",
        ("tests.bench.bench_office", "1000", "pages and PDFs"),
        20,
        is_asked=True,
    ),
    Part(
        "readers",
        "What the programs of an office read",
        "LibreOffice, pandas, DuckDB and a CSVW validator read every table of three jobs; each "
        "cell is set beside what was written. Needs `apt install libreoffice-calc`.",
        ("tests.bench.bench_readers",),
        5,
        is_asked=True,
    ),
    Part(
        "corrections",
        "Corrections with uncertainty",
        "A million segments by arrays; the same cases by a plain loop and by a general library, "
        "which must agree.",
        ("tests.bench.bench_corrections",),
        0.5,
    ),
    Part(
        "encoder",
        "The encoder model alone",
        "Time to load, share of real time on one core, memory.",
        ("tests.bench.bench_encoder",),
        1.5,
    ),
    Part(
        "endpoint",
        "Finding utterances",
        "Calls with pauses under each noise: missed, split, joined; then noise alone.",
        ("tests.bench.bench_endpoint",),
        1,
    ),
    Part(
        "recognition",
        "Hearing, from sound to understood calls",
        "Voices that nothing was fitted on say feet, hundredths, readings, commands and talk. A "
        "call is right only if it comes out once, taken, with its value.",
        ("tests.bench.bench_recognition", "piper-joe", "flite-slt"),
        8,
        is_timed=False,
    ),
    Part(
        "spanish",
        "Hearing Spanish, from sound to understood calls",
        "Voices of Spanish that nothing was fitted on say feet, hundredths, commands and talk; "
        "spoken before into `build/bench/spanish` (`python -m tests.bench.bench_language speak`).",
        ("tests.bench.bench_language", "hear", "test", "build/bench/spanish"),
        5,
        is_asked=True,
    ),
    Part(
        "spanish-crew-calls",
        "Every foot and every hundredths in Spanish",
        "Two voices of Spanish that nothing was fitted on say each whole foot and each hundredths "
        "once, in forms drawn by chance; spoken and heard before into `build/bench/spanish-crew` "
        "(`python -m tests.bench.bench_language_calls speak`, `hear`).",
        ("tests.bench.bench_language_calls", "pack", "build/bench/spanish-crew"),
        1,
        is_asked=True,
    ),
    Part(
        "spanish-apart",
        "Spanish calls in wind, by the metric grammar, and with their units named",
        'The same voices and calls; and the same values said with units ("quince pies", "cinco '
        'centésimas", "cinco pies y cuarenta y dos"), readings among them; heard before into '
        "`build/bench/spanish-crew` (`python -m tests.bench.bench_language_calls hear`).",
        ("tests.bench.bench_language_calls", "count", "build/bench/spanish-crew"),
        1,
        is_asked=True,
    ),
    Part(
        "crew-es",
        "Crews that call in Spanish, with the blunders of people",
        "As for English: simulated lines over those decoded calls, walked by the pairing machine "
        "under the rules of old journals and under the newest.",
        ("tests.bench.bench_crew", "500", "--language", "es", "--row", "clean", "--row", "p10"),
        5,
        is_asked=True,
    ),
    Part(
        "words",
        "The crew's words",
        "Commands, conditions, talk, talk with numbers in it, calls mended in one breath; heard "
        "where a whole mark is expected. Much of the talk was put into the grammar because it was "
        "misheard: no figure for talk in general.",
        ("tests.bench.bench_words", "build/bench/words.jsonl"),
        1,
        is_timed=False,
    ),
    Part(
        "listeners",
        "What was heard, call by call",
        "The answers to the crew benchmark's calls, as the repository keeps them.",
        ("tests.bench.bench_listeners",),
        0.5,
        is_timed=False,
    ),
    Part(
        "crew",
        "Crews with the blunders of people",
        "Simulated lines over really decoded calls, walked by the pairing "
        "machine: what is recorded wrong without a question, in ten thousand pulls, with the "
        "interval that resamples voices and lines. One rule was found by tracing a wrong pull in "
        "quiet of these very lines; `--seed` walks others.",
        ("tests.bench.bench_crew", "3000", "--people", "--pairing", "new"),
        2,
        is_timed=False,
    ),
    Part(
        "crew-joint",
        "Crews, by what decides: weighed together, and compared",
        "Simulated pulls over really decoded calls of synthetic voices and of recorded people, who "
        "say figure by figure; each way over the same pulls. Joint: all calls of a pull weighed "
        "together. Read back: the crew notices a wrong read-back as often as was published. What a "
        "wrong segment costs was chosen on these calls.",
        ("tests.bench.bench_crew", "600"),
        6,
        is_timed=False,
    ),
    Part(
        "ten-voices",
        "Listeners on voices that nothing was fitted on",
        "The encoder model, and free dictation, on the same sounds (`make bench-listeners`).",
        ("tests.bench.bench_listeners", "build/hear-test"),
        80,
        is_asked=True,
    ),
    Part(
        "longrun",
        "A quarter of an hour of two channels in wind",
        "Time, memory, and what becomes of the calls.",
        ("tests.bench.bench_longrun", "900"),
        1,
    ),
    Part(
        "latency",
        "Live, from the end of speech to disk and to the first sound",
        "In real time through a virtual microphone, the panel drawn, the built-in words read back.",
        ("tests.bench.bench_latency",),
        5,
    ),
    Part(
        "live-crews",
        "Crews that work live",
        "Two synthetic voices tape lines with the running command, which reads back by its "
        "built-in words, and answer what it asks.",
        ("tests.bench.bench_live_crews", "--pulls", "8"),
        10.5,
    ),
    Part(
        "live-people",
        "Crews of recorded people that work live",
        "Two people say figures into microphones of their own, everything else by keys, and answer "
        "what the running command asks; in rain, and after it learned their voices.",
        ("tests.bench.bench_live_crews", "--pulls", "2", "--people", PEOPLE),
        12,
    ),
    Part(
        "pace",
        "As fast as people call",
        "Seconds a pull and questions at several paces, sound card and clock simulated, what was "
        "said understood by its script.",
        ("tests.bench.bench_pace", "10", "script"),
        1.5,
    ),
    Part(
        "phone",
        "The chief's page",
        "From a call on disk to the frame that shows it, on the same computer; and what twenty "
        "phones cost the recogniser.",
        ("tests.bench.bench_phone",),
        4,
    ),
    Part(
        "crew-phones",
        "The crew's phones",
        "Two headless browsers play the demo's crew over TLS: on networks "
        "good and bad; with a browser or the logger killed; with a microphone, a keypad or a "
        "chief's phone beside; with the blunders of people (phones swapped, both paired as "
        "head, a page loaded anew, a phone that rings, sleeps or stands still, a headset pulled "
        "out). Their sessions go before other work. A call is held against a file of the same "
        "sound: right, asked again, missing within a loss that was journalled, or missing "
        "without a word. A segment is wrong where length and booking are no segment's of the "
        "file; one under another number comes behind a pull that the crew must do again: nobody "
        "answers in a recording. Cuts on paper are in simulated time. The day and the words in the "
        "ear are timed with the computer for themselves, the other trials run four abreast.",
        ("tests.bench.bench_crew_phones", "1"),
        14,
    ),
    Part(
        "crew-phones-thrice",
        "The crew's phones, three times each",
        "As above.",
        ("tests.bench.bench_crew_phones", "3"),
        70,
        is_asked=True,
    ),
    Part(
        "start",
        "Starting",
        "From the command to its end, or to the first call that is asked for; files are in the "
        "system's memory from the time before.",
        ("tests.bench.bench_start",),
        1,
    ),
    Part(
        "systems",
        "What each kind of computer can install",
        "The registry is asked: for each system, Python and extra, what pip would install there, "
        "and whether each package has a wheel that fits. Nothing is installed; the program was run "
        "on Linux x86-64 alone.",
        ("tests.bench.bench_systems",),
        10,
        is_asked=True,
    ),
    Part(
        "endurance",
        "A long day",
        "The demo's sound again and again through the field loop: what memory grows by.",
        ("tests.bench.bench_endurance", "1"),
        2,
    ),
    Part(
        "people",
        "Recorded people who say two figures",
        "Calls put together of single figures, and what is no such call; the sounds are not part "
        "of the project. How far the encoder's weights were moved was chosen on a, b and c, so "
        "these rows flatter it; nothing was chosen by the helicopter. That a figure too many is "
        "listened for was thought of on these calls of three and five figures. How sure the "
        "program says it is was fitted on synthetic voices; the error is the expected calibration "
        "error in ten bins of equal width, with its 95 % interval (calls drawn anew, not people), "
        "and what it stays below 95 times in 100 where what is told is true. Heard: the likeliest "
        "call, taken or not.",
        ("tests.bench.bench_people", PEOPLE),
        20,
        is_timed=False,
    ),
    Part(
        "enroll",
        "Enrolment",
        "What people get right before and after the program learned their voice. How words are "
        "weighed was chosen on other recordings of a and b, and on some of these of c: c's rows "
        "flatter it.",
        ("tests.bench.bench_enroll", PEOPLE),
        26,
        is_timed=False,
    ),
)
SOUND_ABOUT = (
    "An hour of it goes the way of live sound, as fast as the computer hears: endpointer, meter, "
    "default listener, parser. A call that is taken is a false one."
)


def _sound(kind: str, minutes: float) -> Part:
    name = f"sound-{kind.split(maxsplit=1)[0]}"
    words = ("tests.torture.sound", "1", kind)
    return Part(name, f"An hour of sound without calls: {kind}", SOUND_ABOUT, words, minutes)


TORTURE = (
    Part(
        "crash-keypad",
        "Kills: a crew that types, and a rescue",
        "The whole program in a process of its own, ended by SIGKILL at moments drawn by chance.",
        ("tests.torture.crash", "keypad"),
        10,
    ),
    Part(
        "crash-voice",
        "Kills: a crew that is listened to",
        "The same while it hears a recording, which is gone on with until its end.",
        ("tests.torture.crash", "voice"),
        25,
    ),
    Part(
        "crash-phones",
        "Kills: a chief who orders by phone",
        "The same while orders come over the page; what got no answer is sent again.",
        ("tests.torture.crash", "phones"),
        15,
    ),
    Part("torn", "Damaged files", "", ("tests.torture.torn",), 30),
    Part("disk", "A failing disk", "Each fault so many times.", ("tests.torture.disk", "20"), 5),
    Part("clock", "Changes of the clock", "", ("tests.torture.clock", "300"), 20),
    _sound("gusty wind", 10),
    _sound("harsh wind", 10),
    _sound("chatter", 20),
    _sound("two talkers at once", 30),
    _sound("music", 20),
    Part(
        "sound-clipping",
        "A minute each of sound that is broken",
        "An overdriven microphone, a constant, pure tones.",
        ("tests.torture.sound", "1", "clipping", "constant", "pure tones"),
        3,
    ),
    Part(
        "eight-hours",
        "Eight hours of a crew",
        "The demo's sound again and again through the field loop, faster than real time: what "
        "sounds the same under the same expectation is heard once. Memory of all processes, each "
        "half hour of sound.",
        ("tests.bench.bench_endurance", "8", "eight-hours"),
        30,
    ),
    Part("storm", "A microphone that comes and goes", "", ("tests.torture.storm",), 10),
    Part("security", "Hostile requests and folders", "", ("tests.torture.security",), 10),
    Part("fuzz", "Fuzzed input", "", ("tests.torture.fuzz",), 30),
    Part("orders", "Events in any order", "", ("tests.torture.orders",), 30),
    Part("phrases", "Every phrase", "", ("tests.torture.phrases",), 10),
)
MUTANTS = tuple(
    Part(room, room, "", ("tests.mutants.mutate", room), minutes)
    for room, minutes in (
        ("units", 30),
        ("tape", 30),
        ("decoding", 60),
        ("corrections", 240),
        ("pairing", 240),
    )
)
PARTS = {"bench": BENCH, "torture": TORTURE, "mutants": MUTANTS}
AIMS = (
    Aim("a day's journal opens", "journal", "", "open_and_read_s", "figure", most=0.5, unit="s"),
    Aim(
        "a job's tables, workbook and dataset, in processor seconds",
        "office",
        "one run over all",
        "report, workbook, dataset",
        "processor s a job",
        most=0.5,
        unit="s",
    ),
    Aim(
        "a job's pages, in processor seconds",
        "office",
        "one run over all",
        "pages",
        "processor s a job",
        most=0.5,
        unit="s",
    ),
    Aim(
        "a job's pages and PDFs, in processor seconds",
        "office-pdf",
        "one run over all",
        "pages and PDFs",
        "processor s a job",
        most=2.0,
        unit="s",
    ),
    Aim(
        "a million corrections with uncertainty",
        "corrections",
        "",
        "processor_s",
        "figure",
        most=1.0,
        unit="s",
    ),
    Aim(
        "finding utterances, share of real time a channel",
        "endpoint",
        "",
        "share of real time, one channel",
        "figure",
        most=0.03,
    ),
    Aim(
        "hearing, share of real time a channel",
        "longrun",
        "",
        "share of real time for each channel",
        "figure",
        most=0.1,
    ),
    Aim(
        "call on disk to the chief's page, median",
        "phone",
        "call on disk to page [ms]",
        "median",
        "figure",
        most=150,
        unit="ms",
    ),
    Aim(
        "end of speech to the first sound in the other's ear, median",
        "crew-phones",
        "times and processor",
        "day",
        "end of speech to the other's ear, median [ms]",
        most=900,
        unit="ms",
    ),
    Aim(
        "message to the first sound on a crew phone, median",
        "crew-phones",
        "times and processor",
        "day",
        "message to first sound, median [ms]",
        most=150,
        unit="ms",
    ),
    Aim(
        "two crew phones beside recognition, processor",
        "crew-phones",
        "processor",
        "both phones [% of a core]",
        "figure",
        most=10,
        unit="%",
    ),
    Aim(
        "a crew phone's page and all that it loads",
        "crew-phones",
        "page",
        "page and all that it loads [kB]",
        "figure",
        most=200,
        unit="kB",
    ),
    Aim(
        "false calls in an hour of chatter",
        "sound-chatter",
        "faults",
        "sound: chatter [min]",
        "false calls an hour",
        most=1,
        kind="torture",
    ),
    *(
        Aim(
            f"memory that an hour of {kind} leaves",
            f"sound-{kind.split()[0]}",
            "faults",
            f"sound: {kind} [min]",
            "memory grew [MB an hour]",
            most=1,
            unit="MB",
            kind="torture",
        )
        for kind in ("gusty wind", "harsh wind", "chatter", "two talkers at once", "music")
    ),
    Aim(
        "memory that eight hours of a crew leave beyond its calls",
        "eight-hours",
        "growth after the first hour [MB]",
        "beyond them",
        "figure",
        most=7,
        unit="MB",
        kind="torture",
    ),
    Aim(
        "all processes of the program at most",
        "eight-hours",
        "",
        "all processes at most [MB]",
        "figure",
        most=320,
        unit="MB",
        kind="torture",
    ),
    Aim(
        "calllog --help, until it has ended", "start", "", "help [s]", "figure", most=0.3, unit="s"
    ),
    Aim(
        "listen with a microphone, until it is ready",
        "start",
        "",
        "listen ready [s]",
        "figure",
        most=3.0,
        unit="s",
    ),
    Aim(
        "twenty phones slow the recogniser, median",
        "phone",
        "20 phones",
        "slow-down, median of pairs [%]",
        "figure",
        most=5,
        unit="%",
    ),
)
