"""The field loop: microphones, keypads, loudspeaker and screen about one live crew; shell."""

from calllog.live.loop import FieldLoop, Settings

__all__ = ["FieldLoop", "Settings"]
