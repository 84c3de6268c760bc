"""How a tape reads, told with an example: 48 held and 36 read are 48.36 or 47.64.

The example of a cut tape is the trade's (common practice, no published source).
"""

from __future__ import annotations

import pytest

from calllog.tape import Certificate, how_it_reads
from calllog.values import Fact, Style
from tests.tapes import certificate, metric_tape


@pytest.mark.parametrize(
    ("tape", "facts"),
    [
        (certificate(style=Style.ADD), {"style": "add", "length": 4836}),
        (certificate(style=Style.CUT), {"style": "cut", "length": 4764}),
        (certificate(style=Style.FULL), {"style": "full", "reading": 4836, "length": 4836}),
        (
            certificate(style=Style.INSET),
            {"style": "inset", "mark": 100, "reading": 4836, "length": 4736},
        ),
        (
            certificate(style=Style.CUT, nominal_ft=49, certified_length_ft=49.0),
            {"style": "cut", "length": 4764},
        ),
        (
            certificate(style=Style.CUT, nominal_ft=30, certified_length_ft=30.0),
            {"style": "cut", "held": 2900, "length": 2864},
        ),
        (
            certificate(style=Style.CUT, least_count=0.005),
            {"style": "cut", "held": 9600, "length": 9528},
        ),
        (
            metric_tape(style="cut", least_count=0.001),
            {"tape": "M-1", "style": "cut", "held": 29_000, "read": 360, "length": 28_640},
        ),
        (
            metric_tape(style="full", least_count=0.001),
            {
                "tape": "M-1",
                "style": "full",
                "held": 29_000,
                "read": 360,
                "reading": 29_360,
                "length": 29_360,
            },
        ),
    ],
    ids=["add", "cut", "full", "inset", "49 ft", "30 ft", "0.005 ft", "1 mm, cut", "1 mm, full"],
)
def test_a_tape_is_told_with_an_example(tape: Certificate, facts: dict[str, Fact]) -> None:
    """The mark held, what is read and the length that follows, in least counts of the tape."""
    told = how_it_reads(tape)
    assert told.code == "tape-reads"
    assert told.facts == {"tape": "T-1", "held": 4800, "read": 36, "mark": 0} | facts
