"""A spidev of Linux on the fake bus: the kernel holds the chip's select for one request alone.

As the kernel's documentation has it (Linux, Documentation/spi/spidev.rst): each request is a
select of its own, and requests to devices on one bus take turns. Has as much of PureIO's
interface as a reader could want, with the two halves that would let go in between.
"""

from __future__ import annotations

from collections.abc import Sequence

from simulator.chip.bus import BusMisuseError, FakeChipSelect, FakeSpi


class FakeSpidev:
    """An open device: one chip's select, moved by the kernel, on a bus that others share.

    ``mode``, ``max_speed_hz`` and ``bits_per_word`` are as an overlay sets them up, until told.
    """

    def __init__(self, spi: FakeSpi, select: FakeChipSelect) -> None:
        self.mode = 0
        self.max_speed_hz = 125_000_000
        self.bits_per_word = 8
        self.requests: list[bytes] = []
        """What was sent, request by request, where ``keeps`` is set."""
        self.keeps = False
        self._spi = spi
        self._select = select
        select.switch_to_output(value=True)

    def transfer(self, data: Sequence[int]) -> list[int]:
        """Send and receive in one request."""
        sent = bytes(data)
        received = bytearray(len(sent))
        if self.keeps:
            self.requests.append(sent)
        if not self._spi.try_lock():
            raise BusMisuseError("A request while another one is under way.")
        try:
            self._spi.configure(
                self.max_speed_hz, self.mode >> 1 & 1, self.mode & 1, self.bits_per_word
            )
            self._select.value = False
            self._spi.write_readinto(sent, received)
        finally:
            self._select.value = True
            self._spi.unlock()
        return list(received)

    def writebytes(self, data: Sequence[int]) -> None:
        """Send, as a request of its own."""
        self.transfer(data)

    def readbytes(self, length: int) -> bytes:
        """Receive while zeros are sent, as a request of its own."""
        return bytes(self.transfer(bytes(length)))
