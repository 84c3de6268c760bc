"""A job at work: the journal fed, the pairing machine driven, a recording taken in; shell."""

from calllog.session.bulk import Done, Reported, each_job, find_jobs, report_job, report_jobs
from calllog.session.capture import Listener, parse_roles, take_recording
from calllog.session.clock import JUMP_S, system_clock
from calllog.session.combined import write_combined
from calllog.session.consent import (
    EVERYONE,
    Consent,
    Expunged,
    Person,
    Removed,
    Voices,
    people_of,
)
from calllog.session.copies import Copies, find_copies
from calllog.session.course import Changed, Course
from calllog.session.difference import Difference, JobState, difference, job_state
from calllog.session.expunging import Wanted, expunge, wanted
from calllog.session.job import Job
from calllog.session.judging import Judged, judge
from calllog.session.keys import SigningKey, new_key, read_key, read_signers, signer_line
from calllog.session.kinds import KINDS, EntryKind, PhonePaired, SignOff, Stamp
from calllog.session.merging import merge_jobs
from calllog.session.office import Office, ReportWanted, write_office, write_report
from calllog.session.removal import left_over
from calllog.session.replay import EVENTS, PHONE, Edition, Replay, asked, event_of, replay
from calllog.session.rereduction import Rereduction, rereduce
from calllog.session.rescuing import rescue_job
from calllog.session.results import LineResult, budget_of, is_finished, line_results
from calllog.session.stamping import add_stamp, read_authorities, stamp_request
from calllog.session.standing import Signature, Signed, Standing, sign_offs, standing
from calllog.session.state_facts import (
    StateFact,
    facts_about,
    state_codes,
    state_facts,
    state_words,
    unfinished_runs,
)
from calllog.session.summary import (
    Summary,
    grammar_of,
    make_folder,
    replay_job,
    summarise,
    verify_job,
)
from calllog.session.taking import Taker, Told
from calllog.session.weighed import WeighedPull, weigh_pull
from calllog.session.withholding import CHIEF, withhold
from calllog.session.zones import Zones, parse_zone, zones_of

__all__ = [
    "CHIEF",
    "EVENTS",
    "EVERYONE",
    "JUMP_S",
    "KINDS",
    "PHONE",
    "Changed",
    "Consent",
    "Copies",
    "Course",
    "Difference",
    "Done",
    "Edition",
    "EntryKind",
    "Expunged",
    "Job",
    "JobState",
    "Judged",
    "LineResult",
    "Listener",
    "Office",
    "Person",
    "PhonePaired",
    "Removed",
    "Replay",
    "ReportWanted",
    "Reported",
    "Rereduction",
    "SignOff",
    "Signature",
    "Signed",
    "SigningKey",
    "Stamp",
    "Standing",
    "StateFact",
    "Summary",
    "Taker",
    "Told",
    "Voices",
    "Wanted",
    "WeighedPull",
    "Zones",
    "add_stamp",
    "asked",
    "budget_of",
    "difference",
    "each_job",
    "event_of",
    "expunge",
    "facts_about",
    "find_copies",
    "find_jobs",
    "grammar_of",
    "is_finished",
    "job_state",
    "judge",
    "left_over",
    "line_results",
    "make_folder",
    "merge_jobs",
    "new_key",
    "parse_roles",
    "parse_zone",
    "people_of",
    "read_authorities",
    "read_key",
    "read_signers",
    "replay",
    "replay_job",
    "report_job",
    "report_jobs",
    "rereduce",
    "rescue_job",
    "sign_offs",
    "signer_line",
    "stamp_request",
    "standing",
    "state_codes",
    "state_facts",
    "state_words",
    "summarise",
    "system_clock",
    "take_recording",
    "unfinished_runs",
    "verify_job",
    "wanted",
    "weigh_pull",
    "withhold",
    "write_combined",
    "write_office",
    "write_report",
    "zones_of",
]
