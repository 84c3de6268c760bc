"""Editions of the rules by which calls become pulls; pure.

A line keeps the edition that it was begun with, so that its journal always leads to the pulls that
were booked from it. Whatever changes what follows from the same calls asks the edition in force:
``state.settings.pairing``.
"""

from calllog.decoding import CALIBRATIONS
from calllog.values import LineSettings

EDITION = 6
"""The newest edition; a new line is begun with it. 0 is that of journals that do not say."""
CONFIRMS_SINCE = 3
"""The edition from which nothing is taken against what is known until the crew confirms it."""
HEARS_AGAIN_SINCE = 4
"""The edition from which the answer which pull a take is of may say that it was misheard, figures
called apart are one number, and a pull to be measured again is left by a second word."""
ASKS_STRUCK_SINCE = 5
"""The edition from which a number that was struck is asked before the same pull takes it again."""
SAYS_FIGURES_AGAIN_SINCE = 6
"""The edition from which a mark of one figure that was struck and is asked counts said again."""
KNOWS_TAKE_SINCE = 6
"""The edition from which who says the take of a pull just recorded repeats it, too, where the check
was near it."""
ASKS_TYPED_SINCE = 6
"""The edition from which a part is asked that was typed otherwise before the pull was measured
again."""


def unknown_edition(settings: LineSettings) -> str:
    """Name the edition of a line that this program does not know; empty if it knows all."""
    if settings.decoding and settings.decoding not in CALIBRATIONS:
        return f"edition {settings.decoding} of the joint decoding"
    if not 0 <= settings.pairing <= EDITION:
        return f"edition {settings.pairing} of the pairing"
    return ""
