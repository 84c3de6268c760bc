"""A network that can be cut: carries bytes from one port to another, or holds them.

    python -m tests.cut_network FROM TO

Each line on standard input is a word (cut, mend, count, or nothing) and gets a line back.
"""

from __future__ import annotations

import asyncio
import sys
from contextlib import suppress


class Carrier:
    """Carries from one port to another."""

    def __init__(self, to: int) -> None:
        self._to = to
        self._whole = asyncio.Event()
        self._whole.set()
        self._carried = 0

    async def connect(self, near: asyncio.StreamReader, back: asyncio.StreamWriter) -> None:
        """Carry one connection both ways."""
        await self._whole.wait()
        with suppress(OSError):
            far, on = await asyncio.open_connection("127.0.0.1", self._to)
            await asyncio.gather(self._carry(near, on), self._carry(far, back))

    async def _carry(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        with suppress(OSError):
            while data := await reader.read(65536):
                await self._whole.wait()
                self._carried += len(data)
                writer.write(data)
                await writer.drain()
        writer.close()

    def obey(self, word: str) -> str:
        """Do what a line says."""
        if word == "cut":
            self._whole.clear()
        elif word == "mend":
            self._whole.set()
        return str(self._carried)


async def main(near: int, far: int) -> None:
    """Carry until standard input ends."""
    carrier = Carrier(far)
    server = await asyncio.start_server(carrier.connect, "127.0.0.1", near)
    while line := await asyncio.to_thread(sys.stdin.readline):
        sys.stdout.write(carrier.obey(line.strip()) + "\n")
        sys.stdout.flush()
    server.close()


if __name__ == "__main__":
    asyncio.run(main(int(sys.argv[1]), int(sys.argv[2])))
