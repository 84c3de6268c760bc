"""The live screen of the terminal: what the journal says, readable at arm's length; shell."""

from calllog.panel.draw import PanelDrawing
from calllog.panel.screen import Panel
from calllog.panel.view import (
    CallStanding,
    CallView,
    MicrophoneState,
    Sign,
    View,
    WayOn,
    view_of,
)
from calllog.panel.worded import ViewText, say_view

__all__ = [
    "CallStanding",
    "CallView",
    "MicrophoneState",
    "Panel",
    "PanelDrawing",
    "Sign",
    "View",
    "ViewText",
    "WayOn",
    "say_view",
    "view_of",
]
