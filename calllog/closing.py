"""What holds something until it is closed, used in a ``with`` statement; pure."""

from abc import ABC, abstractmethod
from typing import Self


class Closes(ABC):
    """Something that is closed at the end of its ``with`` statement."""

    @abstractmethod
    def close(self) -> None:
        """Release what is held; closing twice does no harm."""

    def __enter__(self) -> Self:
        """Use it in a ``with`` statement."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close it."""
        self.close()
