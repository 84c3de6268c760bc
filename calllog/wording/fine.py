"""Words for tapes that are read more finely than to hundredths; pure.

The catalogues speak of hundredths and of two digits. On a tape that is read to the millimeter the
same messages are told with these words in their place. One that is read to 0.005 ft has hundredths,
and a half of one.
"""

import re
from collections.abc import Mapping

from calllog.values import ReadingUnit

IN_MILLIMETRES: Mapping[str, tuple[tuple[str, str], ...]] = {
    "en": (
        ("hundredths", "millimeters"),
        ("both digits", "all three digits"),
        ("two digits", "three digits"),
    ),
    "es": (
        ("las centésimas", "los milímetros"),
        ("centésimas", "milímetros"),
        ("las dos cifras", "las tres cifras"),
        ("dos cifras", "tres cifras"),
    ),
}
"""By language: words of a catalogue, and what stands there."""
AS_THEY_ARE = frozenset({"after-comes-reading", "key-both-digits", "finding-swapped"})
"""Messages about what is stated to hundredths on any tape, or whose digits are none of a count."""


def in_fine(code: str, text: str, language: str, unit: ReadingUnit) -> str:
    """Write a message of a catalogue as it is told on a tape of a unit.

    Args:
        code: of the message.
        text: the message as its catalogue has it, code and all.
        language: of the catalogue.
        unit: what the tape is graduated in.

    Example:
        >>> in_fine("a", "a = say the hundredths", "en", ReadingUnit.FINE_METRE)
        'a = say the millimeters'
    """
    if unit is not ReadingUnit.FINE_METRE or code in AS_THEY_ARE:
        return text
    for words, other in IN_MILLIMETRES.get(language, ()):
        text = re.sub(rf"(?<![\w$-]){words}\b", other, text)
    return text
