"""A job at work: the journal fed, the pairing machine driven, a recording taken in; shell."""

from calllog.session.capture import Listener, hear_recording, parse_roles
from calllog.session.consent import EVERYONE, Consent, Person, Removed, Voices, people_of
from calllog.session.course import Course
from calllog.session.job import Job
from calllog.session.keys import new_key, read_key, read_signers, signer_line
from calllog.session.kinds import PhonePaired
from calllog.session.recorder import Recorder, Told
from calllog.session.removal import left_over
from calllog.session.replay import PHONE, Edition, Replay, asked, event_of, replay
from calllog.session.withholding import CHIEF
from calllog.session.zones import Zones, parse_zone, zones_of

__all__ = [
    "CHIEF",
    "EVERYONE",
    "PHONE",
    "Consent",
    "Course",
    "Edition",
    "Job",
    "Listener",
    "Person",
    "PhonePaired",
    "Recorder",
    "Removed",
    "Replay",
    "Told",
    "Voices",
    "Zones",
    "asked",
    "event_of",
    "hear_recording",
    "left_over",
    "new_key",
    "parse_roles",
    "parse_zone",
    "people_of",
    "read_key",
    "read_signers",
    "replay",
    "signer_line",
    "zones_of",
]
