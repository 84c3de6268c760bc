"""How a tape is read, in plain words with an example of its own; pure."""

from calllog.tape.certificate import Certificate
from calllog.tape.graduation import length_read
from calllog.values import Message, ReadingUnit, Style, message

HELD, READ = 48, 36
"""The trade's example of a cut tape: 48 held, 36 read (common practice, no published source)."""


def how_it_reads(certificate: Certificate) -> Message:
    """Say how a tape is read, with an example: 48 held, 36 read, the length that follows.

    On a tape shorter than that the last whole mark stands in for 48.
    """
    style, held = certificate.style, min(HELD, certificate.nominal - 1)
    one = certificate.unit.counts
    read = certificate.unit.of_hundredths(READ)
    facts = {
        "tape": certificate.identity,
        "style": style.value,
        "held": one * held,
        "read": read if certificate.unit is ReadingUnit.FINE_METRE else READ,
        "mark": certificate.hold_read,
    }
    if style in (Style.ADD, Style.CUT):
        length = length_read(style, whole=one * held, fraction=read, reading=None, hold=0)
    else:
        reading = one * held + read
        facts["reading"] = reading
        length = length_read(
            style, whole=None, fraction=None, reading=reading, hold=certificate.hold_read
        )
    return message("tape-reads", **facts, length=length)
