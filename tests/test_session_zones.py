"""Times as the crew's watches showed them, by what a journal notes, or as the office asks."""

from __future__ import annotations

import os
import re
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from calllog.commands.page import PagesWanted, write_page
from calllog.errors import ConfigError
from calllog.journal import Journal
from calllog.office import replay_job
from calllog.session import Job, Zones, parse_zone, zones_of
from tests.fieldjob import long_job
from tests.reading_html import Reader


@pytest.fixture
def _west(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Let this machine stand seven hours west, as POSIX writes it: with the other sign."""
    monkeypatch.setenv("TZ", "XST7")
    time.tzset()
    yield
    os.environ["TZ"] = "UTC"
    time.tzset()


@pytest.mark.usefixtures("_west")
def test_a_job_notes_the_zone_of_its_computer(tmp_path: Path) -> None:
    """Where it is opened and where a sitting begins; what a journal holds stays UTC."""
    with Job.open(tmp_path / "job") as job:
        job.begin_sitting({"microphones": []})
    assert [zone for _, zone in replay_job(tmp_path / "job").zones] == ["-07:00", "-07:00"]
    with Journal.open(tmp_path / "job", read_only=True) as journal:
        assert all(entry.time_utc.endswith("+00:00") for entry in journal.entries())


@pytest.mark.usefixtures("_west")
def test_pages_show_the_crew_s_time_and_say_what_it_is_off(tmp_path: Path) -> None:
    """As the zone was where the job was begun, or as the office asks; a machine is told by UTC."""
    job = long_job(tmp_path / "job", pulls=2)
    write_page(job, PagesWanted(folder=tmp_path / "own", clips=False))
    own = (tmp_path / "own" / "line-1.html").read_text("utf-8")
    found = re.search(r"recorded 2031-05-04 08:(00:..) UTC\u221207:00", Reader(own).text)
    assert found
    assert f'datetime="2031-05-04T15:{found[1]}+00:00"' in own
    wanted = PagesWanted(folder=tmp_path / "asked", clips=False, zone="America/New_York")
    write_page(job, wanted)
    asked = Reader((tmp_path / "asked" / "line-1.html").read_text("utf-8")).text
    assert f"recorded 2031-05-04 11:{found[1]} UTC\u221204:00" in asked


def test_the_last_zone_that_was_noted_holds() -> None:
    """A crew that crosses into another zone; a time before the first is in that one."""
    zones = Zones(
        (("2031-05-04T10:00:00+00:00", "-06:00"), ("2031-05-05T10:00:00+00:00", "+05:30"))
    )
    assert zones.local("2031-05-04T09:00:00+00:00") == "2031-05-04 03:00:00 UTC\u221206:00"
    assert zones.local("2031-05-05T09:59:59+00:00") == "2031-05-05 03:59:59 UTC\u221206:00"
    assert zones.local("2031-05-05T10:00:00+00:00") == "2031-05-05 15:30:00 UTC+05:30"
    assert Zones().local("2031-05-04T09:00:00+00:00") == "2031-05-04 09:00:00 UTC"


def test_a_job_of_before_has_no_zone_and_stays_in_utc() -> None:
    """Kept jobs say UTC, unless a zone is asked for."""
    kept = replay_job(Path(__file__).parent / "golden" / "jobs_2" / "feet")
    assert kept.zones == []
    told = zones_of(kept, parse_zone("+02:00")).local("2031-12-31T23:00:00+00:00")
    assert told == "2032-01-01 01:00:00 UTC+02:00"


def test_zones_are_read_by_name_and_by_offset() -> None:
    """A name knows of summer time; what is no zone is answered with what is one."""
    summer = datetime(2031, 7, 1, tzinfo=UTC)
    assert summer.astimezone(parse_zone("Europe/Lisbon")).hour == 1
    assert parse_zone("Europe/Lisbon") == ZoneInfo("Europe/Lisbon")
    for wrong in ("Nowhere/At_All", "+1", "-99:00", "../../etc/passwd", ""):
        with pytest.raises(ConfigError, match="there is no zone"):
            parse_zone(wrong)
