"""The office's work on jobs that were taken: read, reported, merged, compared, mended; shell."""

from calllog.office.bulk import Done, Reported, each_job, find_jobs, report_job, report_jobs
from calllog.office.combined import write_combined
from calllog.office.copies import Copies, find_copies
from calllog.office.difference import Difference, JobState, difference, job_state
from calllog.office.expunging import Wanted, expunge, wanted
from calllog.office.judging import Judged, judge
from calllog.office.merging import merge_jobs
from calllog.office.reporting import Office, ReportWanted, write_office, write_report
from calllog.office.rereduction import Rereduction, rereduce
from calllog.office.rescuing import rescue_job
from calllog.office.results import LineResult, is_finished, line_results
from calllog.office.stamping import add_stamp, read_authorities, stamp_request
from calllog.office.standing import Signature, Signed, Standing, sign_offs, standing
from calllog.office.state_facts import (
    StateFact,
    certificate_facts,
    facts_about,
    state_facts,
    state_words,
    unfinished_runs,
)
from calllog.office.summary import Summary, make_folder, summarise
from calllog.office.weighed import WeighedPull, weigh_pull
from calllog.session.reread import replay_job

__all__ = [
    "Copies",
    "Difference",
    "Done",
    "JobState",
    "Judged",
    "LineResult",
    "Office",
    "ReportWanted",
    "Reported",
    "Rereduction",
    "Signature",
    "Signed",
    "Standing",
    "StateFact",
    "Summary",
    "Wanted",
    "WeighedPull",
    "add_stamp",
    "certificate_facts",
    "difference",
    "each_job",
    "expunge",
    "facts_about",
    "find_copies",
    "find_jobs",
    "is_finished",
    "job_state",
    "judge",
    "line_results",
    "make_folder",
    "merge_jobs",
    "read_authorities",
    "replay_job",
    "report_job",
    "report_jobs",
    "rereduce",
    "rescue_job",
    "sign_offs",
    "stamp_request",
    "standing",
    "state_facts",
    "state_words",
    "summarise",
    "unfinished_runs",
    "wanted",
    "weigh_pull",
    "write_combined",
    "write_office",
    "write_report",
]
