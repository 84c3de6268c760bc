"""What a tape is and how it is read: certificates, graduation styles, chains; pure."""

from calllog.tape.certificate import (
    MOST_SPANS,
    Certificate,
    least_pull_lb,
)
from calllog.tape.certificate_file import load_certificate
from calllog.tape.graduation import PARTED, length_read, reading_limit
from calllog.tape.metric import METRIC_NAMES, MetricTape
from calllog.tape.plausible import dated_after, doubtful, plausibility, validity
from calllog.tape.start import how_it_reads
from calllog.units import Foot

__all__ = [
    "METRIC_NAMES",
    "MOST_SPANS",
    "PARTED",
    "Certificate",
    "Foot",
    "MetricTape",
    "dated_after",
    "doubtful",
    "how_it_reads",
    "least_pull_lb",
    "length_read",
    "load_certificate",
    "plausibility",
    "reading_limit",
    "validity",
]
