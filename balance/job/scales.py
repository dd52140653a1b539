"""Readings from a scale that prints lines on a serial or USB port; the keyboard always works too.

No scale's own protocol is built in: a pattern says where the number and its unit stand in a line.
A reading counts only once it has settled: the same number several lines in a row.
"""

import re
import time
from collections.abc import Iterator
from dataclasses import dataclass
from types import TracebackType

from balance.errors import InputError, instance_of
from balance.units import read

__all__ = ["PATTERN", "LineScale", "ScaleLine", "parse_line"]

PATTERN = r"(?P<number>[-+]?\s*\d+(?:[.,]\d+)?)\s*(?P<unit>kg|mg|g|lb|oz)?\b"
_LONGEST_LINE = 200  # bytes; a port at the wrong rate may never end a line


@dataclass(frozen=True)
class ScaleLine:
    """One line of a scale: the number and unit as text, and the mass [g]; zero and less too."""

    text: str
    mass_g: float


def parse_line(line: str, *, pattern: str = PATTERN, unit: str = "g") -> ScaleLine | None:
    """Return the reading in one line of a scale, or None when the line has none.

    Parameters
    ----------
    line : str
        As the scale prints it.
    pattern : str
        A regular expression with a group ``number`` and, where the line has it, ``unit``. A line
        that it does not match, such as one marked as unsteady, is no reading.
    unit : str
        The unit where the line names none.

    Raises
    ------
    InputError
        When the pattern is no regular expression with a group ``number``, or the line no text.

    Examples
    --------
    >>> parse_line("  + 494.70 g  ")
    ScaleLine(text='494.70 g', mass_g=494.7)
    >>> parse_line("ready") is None
    True
    """
    instance_of("unit", unit, str)
    found = _compiled(pattern).search(instance_of("line", line, str))
    if found is None:
        return None
    groups = found.groupdict()
    number = "".join((groups["number"] or "").split()).removeprefix("+")
    text = f"{number} {groups.get('unit') or unit}"
    try:
        return ScaleLine(text, read(text, "mass"))
    except InputError:
        return None


def _compiled(pattern: str) -> re.Pattern[str]:
    try:
        compiled = re.compile(instance_of("pattern", pattern, str))
    except re.error as wrong:
        raise InputError(f"pattern {pattern!r} is no regular expression: {wrong}") from None
    if "number" not in compiled.groupindex:
        raise InputError(f"pattern {pattern!r} must have a group (?P<number>...)")
    return compiled


class LineScale:
    """A scale on a port, as a context manager.

    Parameters
    ----------
    port : str
        Name of the port: ``/dev/ttyUSB0``, ``COM3``.
    rate : int [baud]
    pattern, unit : str
        As for :func:`parse_line`.
    same : int
        How many lines in a row must show one number before it counts; 1 for a scale that prints
        only at the press of its button.

    Raises
    ------
    InputError
        When the port cannot be opened, or an argument cannot be right.

    Examples
    --------
    >>> LineScale("/dev/no-such-port")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    balance.errors.InputError: port /dev/no-such-port cannot be opened: is the scale plugged in ...
    """

    def __init__(
        self,
        port: str,
        *,
        rate: int = 9600,
        pattern: str = PATTERN,
        unit: str = "g",
        same: int = 3,
    ) -> None:
        import serial  # type: ignore[import-untyped]

        _compiled(pattern)
        if same < 1:
            raise InputError(f"same must be at least 1, got {same!r}")
        self.port, self.pattern, self.unit, self.same = port, pattern, unit, same
        try:
            self._serial = serial.Serial(port, rate, timeout=0.2)
        except (OSError, ValueError) as wrong:
            reason = getattr(wrong, "strerror", None) or wrong
            raise InputError(
                f"port {port} cannot be opened: is the scale plugged in and switched on? ({reason})"
            ) from None

    def __enter__(self) -> "LineScale":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        wrong: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._serial.close()

    def stable(self, *, timeout_s: float = 10.0) -> ScaleLine:
        """Return the next reading that has settled, from lines printed after this call.

        Raises
        ------
        InputError
            When nothing settles in time, or the scale is gone.
        """
        run: list[ScaleLine] = []
        seen = ""
        for line in self._lines(timeout_s):
            seen = line or seen
            found = parse_line(line, pattern=self.pattern, unit=self.unit)
            if found is None or found.mass_g <= 0 or (run and found != run[-1]):
                run.clear()
            if found is not None and found.mass_g > 0:
                run.append(found)
            if len(run) == self.same:
                return found or run[-1]
        raise InputError(
            f"the scale on {self.port} shows nothing steady"
            + (f"; its last line was {seen!r}" if seen else "; it printed no line")
            + ": wait and press Enter again, or type the reading"
        )

    def _lines(self, timeout_s: float) -> Iterator[str]:
        """Yield the lines that come in until the time is up; what came before is thrown away."""
        end = time.monotonic() + timeout_s
        try:
            self._serial.reset_input_buffer()
            whole = self.same == 1  # a first line may be cut; a button's only line must not be lost
            pending = b""
            while time.monotonic() < end:
                pending += self._serial.read(max(1, self._serial.in_waiting))
                *lines, pending = re.split(rb"[\r\n]+", pending)
                for line in lines:
                    if whole and line:
                        yield line.decode("ascii", errors="replace").strip()
                    whole = True
                pending = pending[-_LONGEST_LINE:]
        except OSError as wrong:
            raise InputError(f"the scale on {self.port} is gone: {wrong}") from None
