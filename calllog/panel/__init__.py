"""The live screen of the terminal: what the journal says, readable at arm's length; shell."""

from calllog.panel.draw import Drawing
from calllog.panel.screen import Panel
from calllog.panel.view import (
    CallView,
    Microphone,
    Sign,
    Standing,
    View,
    Way,
    view_of,
)

__all__ = [
    "CallView",
    "Drawing",
    "Microphone",
    "Panel",
    "Sign",
    "Standing",
    "View",
    "Way",
    "view_of",
]
