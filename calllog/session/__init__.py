"""A job at work: the journal fed, the pairing machine driven, a recording taken in; shell."""

from calllog.session.capture import Listener, parse_roles, take_recording
from calllog.session.course import Changed, Course
from calllog.session.job import Job, system_clock
from calllog.session.replay import Edition, Replay, replay
from calllog.session.rereduction import Rereduction, rereduce
from calllog.session.summary import Summary, summarise, verify_job, write_report
from calllog.session.taking import Taker, Told
from calllog.session.weighed import WeighedPull, weigh_pull

__all__ = [
    "Changed",
    "Course",
    "Edition",
    "Job",
    "Listener",
    "Replay",
    "Rereduction",
    "Summary",
    "Taker",
    "Told",
    "WeighedPull",
    "parse_roles",
    "replay",
    "rereduce",
    "summarise",
    "system_clock",
    "take_recording",
    "verify_job",
    "weigh_pull",
    "write_report",
]
