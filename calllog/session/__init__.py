"""A job at work: the journal fed, the pairing machine driven, a recording taken in; shell."""

from calllog.session.bulk import Reported, find_jobs, report_jobs, reported
from calllog.session.capture import Listener, parse_roles, take_recording
from calllog.session.clock import JUMP_S, system_clock
from calllog.session.course import Changed, Course
from calllog.session.difference import Difference, JobState, difference, job_state
from calllog.session.job import Job
from calllog.session.kinds import KINDS, EntryKind, PhonePaired, SignOff
from calllog.session.merging import merge_jobs
from calllog.session.replay import EVENTS, PHONE, Edition, Replay, asked, replay
from calllog.session.rereduction import Rereduction, rereduce
from calllog.session.rescuing import rescue_job
from calllog.session.summary import (
    Summary,
    grammar_of,
    make_folder,
    replay_job,
    summarise,
    verify_job,
    write_report,
)
from calllog.session.taking import Taker, Told
from calllog.session.weighed import WeighedPull, weigh_pull

__all__ = [
    "EVENTS",
    "JUMP_S",
    "KINDS",
    "PHONE",
    "Changed",
    "Course",
    "Difference",
    "Edition",
    "EntryKind",
    "Job",
    "JobState",
    "Listener",
    "PhonePaired",
    "Replay",
    "Reported",
    "Rereduction",
    "SignOff",
    "Summary",
    "Taker",
    "Told",
    "WeighedPull",
    "asked",
    "difference",
    "find_jobs",
    "grammar_of",
    "job_state",
    "make_folder",
    "merge_jobs",
    "parse_roles",
    "replay",
    "replay_job",
    "report_jobs",
    "reported",
    "rereduce",
    "rescue_job",
    "summarise",
    "system_clock",
    "take_recording",
    "verify_job",
    "weigh_pull",
    "write_report",
]
