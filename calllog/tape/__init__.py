"""What a tape is and how it is read: certificates, graduation styles; pure."""

from calllog.tape.certificate import (
    MOST_SPANS,
    Certificate,
    Foot,
    least_pull_lb,
    load_certificate,
)
from calllog.tape.graduation import PARTED, length_read, reading_limit
from calllog.tape.plausible import plausibility

__all__ = [
    "MOST_SPANS",
    "PARTED",
    "Certificate",
    "Foot",
    "least_pull_lb",
    "length_read",
    "load_certificate",
    "plausibility",
    "reading_limit",
]
