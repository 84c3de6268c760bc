"""A network as bad as asked: carries bytes from one port to another late, or not at all.

    python -m tests.rough_network FROM TO

Each line on standard input is a word and gets a line back: ``cut`` and ``mend``; ``rough JITTER
LOSS`` delays each piece by up to JITTER seconds, in order as TCP does, and one in LOSS by a
retransmission more (RFC 6298: 0.2 s at the least, and the round trip); ``count`` tells how many
bytes were carried. The kernel's own emulator was not to be had where this was written.
"""

from __future__ import annotations

import asyncio
import random
import subprocess
import sys
from contextlib import suppress
from typing import Self

from tests.virtual import ROOT, free_port

RETRANSMITTED_S = (0.2, 0.4)
SEED = 24


class RoughCarrier:
    """Carries from one port to another."""

    def __init__(self, to: int) -> None:
        self._to = to
        self._whole = asyncio.Event()
        self._whole.set()
        self._carried = 0
        self._jitter_s = self._loss = 0.0
        self._chance = random.Random(SEED)  # noqa: S311 - no secret

    async def connect(self, near: asyncio.StreamReader, back: asyncio.StreamWriter) -> None:
        """Carry one connection both ways."""
        await self._whole.wait()
        with suppress(OSError):
            far, on = await asyncio.open_connection("127.0.0.1", self._to)
            await asyncio.gather(self._carry(near, on), self._carry(far, back))

    def _delay_s(self) -> float:
        delay_s = self._chance.uniform(0.0, self._jitter_s)
        if self._loss and self._chance.random() < self._loss:
            delay_s += self._chance.uniform(*RETRANSMITTED_S)
        return delay_s

    async def _carry(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        """Carry one way; pieces arrive late, but in order."""
        loop = asyncio.get_running_loop()
        waiting: asyncio.Queue[tuple[float, bytes]] = asyncio.Queue()

        async def deliver() -> None:
            while True:
                due_s, data = await waiting.get()
                if (left_s := due_s - loop.time()) > 0.0:
                    await asyncio.sleep(left_s)
                await self._whole.wait()
                if not data:
                    break
                self._carried += len(data)
                writer.write(data)
                await writer.drain()
            writer.close()

        delivering = asyncio.create_task(deliver())
        with suppress(OSError):
            while data := await reader.read(1500 if self._jitter_s else 65536):
                waiting.put_nowait((loop.time() + self._delay_s(), data))
        waiting.put_nowait((0.0, b""))
        with suppress(OSError):
            await delivering

    def obey(self, line: str) -> str:
        """Do what a line says."""
        match line.split():
            case ["cut"]:
                self._whole.clear()
            case ["mend"]:
                self._whole.set()
            case ["rough", jitter, loss]:
                self._jitter_s, self._loss = float(jitter), float(loss)
            case _:
                pass
        return str(self._carried)


class RoughNetwork:
    """Carries what one phone and the logger say, in a process of its own, as it is told.

    Args:
        port: the logger's.
    """

    def __init__(self, port: int) -> None:
        self.port = free_port()
        command = [sys.executable, "-m", "tests.rough_network", str(self.port), str(port)]
        self._child = subprocess.Popen(
            command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        self.ask("count")

    def ask(self, words: str) -> str:
        """Have it do something; give its answer."""
        if self._child.stdin is None or self._child.stdout is None:
            message = "a child without pipes"
            raise RuntimeError(message)
        self._child.stdin.write(f"{words}\n")
        self._child.stdin.flush()
        return self._child.stdout.readline().strip()

    def cut(self) -> None:
        """Carry nothing any more; nobody is told."""
        self.ask("cut")

    def mend(self) -> None:
        """Carry again, what was held up too."""
        self.ask("mend")

    def carried(self) -> int:
        """Tell how many bytes were carried."""
        return int(self.ask("count"))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._child.communicate()


async def main(near: int, far: int) -> None:
    """Carry until standard input ends."""
    carrier = RoughCarrier(far)
    server = await asyncio.start_server(carrier.connect, "127.0.0.1", near)
    while line := await asyncio.to_thread(sys.stdin.readline):
        sys.stdout.write(carrier.obey(line.strip()) + "\n")
        sys.stdout.flush()
    server.close()


if __name__ == "__main__":
    asyncio.run(main(int(sys.argv[1]), int(sys.argv[2])))
