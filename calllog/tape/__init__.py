"""What a tape is and how it is read: certificates, graduation styles; pure."""

from calllog.tape.certificate import Certificate, Foot, load_certificate
from calllog.tape.graduation import length_read, reading_limit
from calllog.tape.plausible import plausibility

__all__ = [
    "Certificate",
    "Foot",
    "length_read",
    "load_certificate",
    "plausibility",
    "reading_limit",
]
