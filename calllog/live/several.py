"""What the crew hears by where some have a phone and some a loudspeaker: all of it as one; pure."""

from calllog.audio.echo import LeftBlock
from calllog.live.devices import Speaker
from calllog.readback import Saying
from calllog.values import Role


class Several:
    """A loudspeaker and phones."""

    def __init__(self, loud: Speaker, ears: Speaker) -> None:
        self._loud = loud
        self._ears = ears

    def say(self, saying: Saying) -> None:
        """Say something by all; what is for one person's ear by phones alone."""
        if saying.ear is Role.UNSAID:
            self._loud.say(saying)
        self._ears.say(saying)

    def stop(self) -> None:
        """Be silent at once."""
        self._loud.stop()
        self._ears.stop()

    def give_way(self) -> Saying | None:
        """Break off read-backs; give the last whose words had not all come out."""
        cut = (self._loud.give_way(), self._ears.give_way())
        return cut[0] or cut[1]

    def loudness(self, begin_s: float, end_s: float) -> float:
        """Give the greatest power that came out of the loudspeaker."""
        return self._loud.loudness(begin_s, end_s)

    def left(self) -> tuple[LeftBlock, ...]:
        """Give what left the loudspeaker since that was asked last."""
        return self._loud.left()

    def was_out(self, begin_s: float, end_s: float) -> bool:
        """Tell whether words came out of the loudspeaker."""
        return self._loud.was_out(begin_s, end_s)

    def fault(self) -> str | None:
        """Tell once that one of them was lost."""
        return self._loud.fault() or self._ears.fault()

    @property
    def is_idle(self) -> bool:
        """Nothing sounds and nothing waits."""
        return self._loud.is_idle and self._ears.is_idle
