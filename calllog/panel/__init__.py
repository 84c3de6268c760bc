"""The live screen of the terminal: what the journal says, readable at arm's length; shell."""

from calllog.panel.screen import Panel
from calllog.panel.view import CallStanding, MicrophoneState, Sign, View, view_of
from calllog.panel.worded import ViewText, say_view

__all__ = [
    "CallStanding",
    "MicrophoneState",
    "Panel",
    "Sign",
    "View",
    "ViewText",
    "say_view",
    "view_of",
]
