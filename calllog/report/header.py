"""Report: what holds for all of a job as it is written out, feet or meters; no files touched."""

from typing import Literal

from pydantic import ConfigDict, Field, field_validator

from calllog.report.figures import plain_number
from calllog.values import BookPolicy, CheckPolicy, Frozen, ReadingUnit


class Record(Frozen):
    """Base of all records: frozen, strict, finite numbers, described fields.

    A reader passes over fields that it does not know, and the schema allows them: so one more field
    breaks no program that was written before it.

    What is in the unit of the job has an alias, which is its name on paper with that unit; here
    those of a job in feet stand, and `calllog.report.metric` makes of them those of a metric one.
    """

    model_config = ConfigDict(
        use_attribute_docstrings=True,
        allow_inf_nan=False,
        json_schema_serialization_defaults_required=True,
        validate_by_name=True,
        validate_by_alias=True,
        serialize_by_alias=True,
        extra="ignore",
    )

    @field_validator("*", mode="after")
    @classmethod
    def _no_float_noise(cls, value: object) -> object:
        """Round what was computed to a billionth: no more is known, and no noise is written."""
        return plain_number(value) if isinstance(value, float) else value


class SignOffRecord(Record):
    """Somebody stood by the journal as it was; anybody can have written one without a signature."""

    by: str
    date: str
    """Day of signing, ISO 8601."""
    entry: int
    """Number of the last entry that was signed."""
    state_hash: str
    """Hash of that entry."""
    remark: str
    public_key: str = ""
    """Ed25519 key whose signature fits, as OpenSSH writes it; empty without a signature."""
    fingerprint: str = ""
    """SHA-256 fingerprint of that key, as OpenSSH writes it; empty without a signature."""
    signature: str = ""
    """The signature, base64; empty without one."""
    later_entries: int
    """How many entries have followed that are no sign-offs; 0: nothing has changed since."""


class RescueRecord(Record):
    """The job was carried over from a damaged one, as far as that was sound."""

    time_utc: str
    """When, ISO 8601 with its zone."""
    job: str
    """Name of the damaged job."""
    entries: int
    """How many journal entries were carried over, from the first on."""
    lost: int
    """How many later entries were written for certain and are not carried over."""
    sounds_lost: int
    """How many sounds of the entries carried over are gone or changed."""
    kept_in: str
    """Name of the file with later entries that can be read; empty if there are none."""
    wrong: str
    """What was found wrong; empty if nothing was."""


class MemberRecord(Record):
    """A person of the crew."""

    role: str
    """head, rear, chief, or any other."""
    name: str


class InstrumentRecord(Record):
    """Something that was measured with."""

    kind: str
    """Such as tape, thermometer or balance."""
    words: str
    """Maker, serial number and certificate, as they were stated."""


class JobHeader(Record):
    """What holds for all segments of a report."""

    job: str
    """Name of the job."""
    identity: str = ""
    """Identity of the job: the same in all its copies, however their folders are called."""
    client: str = ""
    """For whom it was measured; empty if it is not stated, as are all facts that follow."""
    project: str = ""
    weather: str = ""
    crew: tuple[MemberRecord, ...] = ()
    """Who measured, as it was stated last."""
    instruments: tuple[InstrumentRecord, ...] = ()
    """What was measured with, beside the tapes and their certificates."""
    line: str
    """The line or lines that the segments belong to, as the crew names them."""
    foot: Literal["international", "us_survey"]
    """The foot of all lengths: international (0.3048 m) or US survey (1200/3937 m)."""
    tape: str
    """Identity of the tape, as its certificate states it."""
    tolerance_hundredths: int | float
    """Greatest difference of take and check that agrees, hundredths of a foot."""
    check_policy: CheckPolicy
    """Whether a pull must be measured again after switching ends."""
    book_policy: BookPolicy
    """What is booked when take and check agree."""
    software_version: str
    """Version of calllog that wrote the report."""
    engine: str
    """What heard the calls: a recogniser with its model, or keys."""
    state_hash: str
    """Hash of the last journal entry that the report rests on."""
    written_utc: str
    """When the report was written, ISO 8601 with its zone."""
    signed: tuple[SignOffRecord, ...] = ()
    """Who signed the job off, in order."""
    rescued: tuple[RescueRecord, ...] = ()
    """Whether the job was carried over from a damaged one, in order."""
    read: ReadingUnit = Field(default=ReadingUnit.FOOT, exclude=True)
    """To what the tapes are read; the digits of the readings show it."""

    @property
    def unit_read(self) -> ReadingUnit:
        """What the job's tapes are graduated in."""
        return self.read

    @property
    def lengths(self) -> str:
        """What all lengths are in, in words."""
        unit = self.unit_read
        is_foot = unit.is_feet
        return f"{self.foot.replace('_', ' ')} {unit.plural}" if is_foot else unit.plural

    @property
    def lengths_code(self) -> str:
        """The same where programs look for it: names of files, columns of jobs."""
        return self.lengths if self.unit_read.is_feet else "metres"


class MetricJobHeader(JobHeader):
    """What holds for all segments of a report; all lengths are in meters."""

    foot: Literal["international"] = Field(default="international", exclude=True)
    """Of what is computed; the file names none."""
    unit: Literal["metre"] = "metre"
    """The unit of all lengths; temperatures are in degrees Celsius, tensions in newtons."""
    tolerance_hundredths: int | float
    """Greatest difference of take and check that agrees, hundredths of a meter."""
    read: ReadingUnit = Field(default=ReadingUnit.METRE, exclude=True)
