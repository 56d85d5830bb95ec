"""One MAX31856 as the SPI bus sees it: bytes in, bytes out, registers that change with time.

Knows the registers, the framing, the conversion and fault logic of the data sheet (see
``registers``). What it is connected to is injected: the temperature of the hot junction, of
the terminals, an open circuit, a voltage that has no business there. It refuses to know of
drivers and clocks: time passes when ``advance`` says so.

Two things that the data sheet leaves open are settled the nasty way, so that a reader that
looks at the temperature alone is caught: an open input keeps the last temperature, and so
does an input with a foreign voltage. Noise is the kiln's business, not the chip's. The
voltage modes (type codes from 8) convert nothing. A probe is of the type that the chip is set
to, until ``set_probe`` says otherwise; a voltage outside the type's range reads one degree
beyond it.
"""

from __future__ import annotations

from simulator.chip import registers as reg
from supervisor.core.its90 import emf_mv, temp_c

_VALUE_BITS = (
    reg.SR_CJ_RANGE
    | reg.SR_TC_RANGE
    | reg.SR_CJ_HIGH
    | reg.SR_CJ_LOW
    | reg.SR_TC_HIGH
    | reg.SR_TC_LOW
)


class Max31856Chip:
    """A chip that has just been given power, with a probe at 20 °C and terminals at 20 °C."""

    def __init__(self) -> None:
        self._registers = bytearray(reg.POWER_ON)
        self._tc_c: float | None = 20.0
        self._cj_c = 20.0
        self._probe: str | None = None
        self._is_swapped = False
        self._over_voltage = False
        self._plugged_in = True
        self._stuck: int | None = None
        self._address: int | None = None
        self._writing = False
        self._one_shot_waits = False
        self._until_conversion_s: float | None = None
        self._until_open_check = 1

    # What the chip is connected to.

    def set_thermocouple(self, temp_c: float | None) -> None:
        """The hot junction's temperature in °C; ``None`` for a broken circuit.

        It reaches the registers with the next conversion.
        """
        self._tc_c = temp_c

    def set_probe(self, letter: str | None, *, swapped: bool = False) -> None:
        """What thermocouple is connected, by its letter, and whether plus and minus are swapped.

        ``None`` is one of the type that the chip is set to, whichever that is.
        """
        self._probe, self._is_swapped = letter, swapped

    def set_cold_junction(self, temp_c: float) -> None:
        """The temperature of the terminals in °C."""
        self._cj_c = temp_c

    def set_over_voltage(self, over_voltage: bool) -> None:
        """Whether the input touches something beyond the chip's supply."""
        self._over_voltage = over_voltage
        if over_voltage:
            self._registers[reg.SR] |= reg.SR_VOLTAGE
        elif not self._registers[reg.CR0] & reg.CR0_LATCHED:
            self._registers[reg.SR] &= ~reg.SR_VOLTAGE

    def unplug(self) -> None:
        """Take the chip off the bus: it drives nothing and forgets everything."""
        self._plugged_in = False

    def plug_in(self) -> None:
        """Put the chip back, with power: the registers hold their power-on values."""
        self._plugged_in = True
        self.brown_out()

    def brown_out(self) -> None:
        """Let the supply dip: the registers fall back to their power-on values."""
        self._registers[:] = reg.POWER_ON
        self._one_shot_waits = False
        self._until_conversion_s = None
        self._until_open_check = 1
        self.set_over_voltage(self._over_voltage)

    def stick_output(self, level: int | None) -> None:
        """Hold this chip's data output at 0 or 1 whenever it is selected; ``None`` frees it."""
        self._stuck = None if level is None else (0xFF if level else 0x00)

    # What a test may look at.

    @property
    def registers(self) -> bytes:
        """All sixteen registers as they are."""
        return bytes(self._registers)

    @property
    def plugged_in(self) -> bool:
        """Whether the chip is there at all."""
        return self._plugged_in

    @property
    def fault_pin_asserted(self) -> bool:
        """Whether the fault output is pulled: never by the two range bits, never when masked."""
        bits = self._registers[reg.SR] & ~self._registers[reg.MASK]
        return bool(bits & ~(reg.SR_CJ_RANGE | reg.SR_TC_RANGE) & 0xFF)

    # Time.

    def advance(self, seconds: float) -> None:
        """Let time pass, and the conversions that fall into it take place.

        The inputs stand still meanwhile, so however long it is, it costs the same.
        """
        cr0, cr1 = self._registers[reg.CR0], self._registers[reg.CR1]
        if self._until_conversion_s is None or seconds < self._until_conversion_s:
            if self._until_conversion_s is not None:
                self._until_conversion_s -= seconds
            return
        if cr0 & reg.CR0_AUTOMATIC:
            period_s = reg.next_conversion_s(cr0, cr1)
            more, into_next_s = divmod(seconds - self._until_conversion_s, period_s)
            self._until_conversion_s = period_s - into_next_s
            self._convert(1 + int(more))
        else:
            self._until_conversion_s = None
            self._registers[reg.CR0] &= ~reg.CR0_ONE_SHOT
            self._convert(1)

    def convert(self) -> None:
        """Complete a conversion and an open-circuit check now, if the chip is converting.

        A chip in its normally-off mode with no one-shot pending is left alone.
        """
        if self._until_conversion_s is not None:
            self._until_open_check = 1
            self.advance(self._until_conversion_s)

    # The bus side.

    def select(self) -> None:
        """Chip select goes low: the next byte is an address."""
        self._address = None

    def deselect(self) -> None:
        """Chip select goes high: a one-shot conversion that was asked for starts."""
        if self._one_shot_waits:
            self._one_shot_waits = False
            self._until_conversion_s = reg.first_conversion_s(
                self._registers[reg.CR0], self._registers[reg.CR1]
            )

    def exchange(self, sent: int, floating: int) -> int:
        """Clock one byte in and one out; ``floating`` is what an undriven line reads.

        The first byte after the select is the address: bit 7 set writes. The address steps
        on with each further byte and wraps from 0Fh to 00h (the wrap is from memory).
        """
        if not self._plugged_in:
            return floating
        received = floating
        if self._address is None:
            self._writing, self._address = bool(sent & 0x80), sent & 0x7F
        else:
            if self._writing:
                self._write(self._address, sent)
            else:
                received = self._registers[self._address] if self._address <= reg.SR else 0x00
            self._address = 0 if self._address == reg.SR else (self._address + 1) & 0x7F
        return received if self._stuck is None else self._stuck

    def _write(self, address: int, value: int) -> None:
        cr0 = self._registers[reg.CR0]
        if address == reg.CR0:
            self._write_cr0(value)
        elif address < reg.CJTH or (
            address in (reg.CJTH, reg.CJTL) and cr0 & reg.CR0_COLD_JUNCTION_OFF
        ):
            self._registers[address] = value

    def _write_cr0(self, value: int) -> None:
        before = self._registers[reg.CR0]
        if value & reg.CR0_CLEAR_FAULTS and value & reg.CR0_LATCHED:
            self._registers[reg.SR] = reg.SR_VOLTAGE if self._over_voltage else 0x00
        value &= ~reg.CR0_CLEAR_FAULTS
        if value & reg.CR0_AUTOMATIC:
            value &= ~reg.CR0_ONE_SHOT
            if not before & reg.CR0_AUTOMATIC:
                self._until_conversion_s = reg.first_conversion_s(value, self._registers[reg.CR1])
                self._until_open_check = 1
        elif value & reg.CR0_ONE_SHOT:
            self._one_shot_waits = True
            self._until_open_check = 1
        elif before & reg.CR0_AUTOMATIC:
            self._until_conversion_s = None
        self._registers[reg.CR0] = value

    def _convert(self, conversions: int) -> None:
        if self._over_voltage:
            return
        cr0, type_code = self._registers[reg.CR0], self._registers[reg.CR1] & 0x0F
        self._check_open(cr0, conversions)
        if type_code >= len(reg.TYPE_LETTERS):
            return
        if not cr0 & reg.CR0_COLD_JUNCTION_OFF:
            offset_c = reg.signed(self._registers[reg.CJTO], 8) * reg.CJTO_LSB_C
            code = reg.cj_code(self._cj_c + offset_c)
            self._registers[reg.CJTH : reg.CJTL + 1] = code.to_bytes(2, "big")
        if self._tc_c is not None:
            # Terminals taken for warmer than they are warm the answer by as much: exact for a
            # linear thermocouple, near enough for a few degrees. Rounding is no such error.
            shift_c = self._cold_junction_c() - self._cj_c
            if abs(shift_c) <= reg.CJ_LSB_C / 2:
                shift_c = 0.0
            hot_c = self._tc_c + shift_c
            letter = reg.TYPE_LETTERS[type_code]
            if self._is_swapped or self._probe not in (None, letter):
                hot_c = self._linearized_c(self._tc_c, letter)
            code = reg.tc_code(hot_c)
            self._registers[reg.LTCBH : reg.LTCBL + 1] = code.to_bytes(3, "big")
        self._set_value_bits(reg.TYPE_LETTERS[type_code])

    def _linearized_c(self, hot_c: float, letter: str) -> float:
        """What a chip set to ``letter`` makes of the probe's voltage (ITS-90)."""
        probe = self._probe or letter
        measured_mv = emf_mv(probe, hot_c) - emf_mv(probe, self._cj_c)
        if self._is_swapped:
            measured_mv = -measured_mv
        whole_mv = measured_mv + emf_mv(letter, self._cold_junction_c())
        low_c, high_c = reg.TC_RANGE_C[letter]
        if whole_mv < emf_mv(letter, low_c):
            return low_c - 1.0
        found_c = temp_c(letter, whole_mv)
        return high_c + 1.0 if found_c is None or found_c > high_c else found_c

    def _check_open(self, cr0: int, conversions: int) -> None:
        if not cr0 & reg.CR0_OPEN_CHECK:
            return
        self._until_open_check -= conversions
        if self._until_open_check > 0:
            return
        self._until_open_check = reg.CONVERSIONS_PER_OPEN_CHECK - (
            -self._until_open_check % reg.CONVERSIONS_PER_OPEN_CHECK
        )
        if self._tc_c is None:
            self._registers[reg.SR] |= reg.SR_OPEN
        elif not cr0 & reg.CR0_LATCHED:
            self._registers[reg.SR] &= ~reg.SR_OPEN

    def _set_value_bits(self, letter: str) -> None:
        now = self._registers
        tc_c, cj_c = self._thermocouple_c(), self._cold_junction_c()
        cj_low, cj_high = reg.CJ_RANGE_C[letter]
        tc_low, tc_high = reg.TC_RANGE_C[letter]
        word = int.from_bytes
        bits = 0
        if not cj_low <= cj_c <= cj_high:
            bits |= reg.SR_CJ_RANGE
        if not tc_low <= tc_c <= tc_high:
            bits |= reg.SR_TC_RANGE
        for bit, beyond_c in (
            (reg.SR_CJ_HIGH, cj_c - reg.signed(now[reg.CJHF], 8)),
            (reg.SR_CJ_LOW, reg.signed(now[reg.CJLF], 8) - cj_c),
            (
                reg.SR_TC_HIGH,
                tc_c
                - word(now[reg.LTHFTH : reg.LTHFTL + 1], "big", signed=True)
                * reg.TC_THRESHOLD_LSB_C,
            ),
            (
                reg.SR_TC_LOW,
                word(now[reg.LTLFTH : reg.LTLFTL + 1], "big", signed=True) * reg.TC_THRESHOLD_LSB_C
                - tc_c,
            ),
        ):
            was_set = now[reg.SR] & bit
            if beyond_c > 0.0 or (was_set and beyond_c > -reg.THRESHOLD_HYSTERESIS_C):
                bits |= bit
        if now[reg.CR0] & reg.CR0_LATCHED:
            now[reg.SR] |= bits
        else:
            now[reg.SR] = (now[reg.SR] & ~_VALUE_BITS) | bits

    def _cold_junction_c(self) -> float:
        raw = int.from_bytes(self._registers[reg.CJTH : reg.CJTL + 1], "big", signed=True)
        return (raw >> 2) * reg.CJ_LSB_C

    def _thermocouple_c(self) -> float:
        raw = int.from_bytes(self._registers[reg.LTCBH : reg.LTCBL + 1], "big", signed=True)
        return (raw >> 5) * reg.TC_LSB_C
