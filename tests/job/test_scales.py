"""A scale that prints lines, played through a pseudo-terminal (an invented scale)."""

import os
import pty
import re
import threading
import time
import tty
from collections.abc import Callable, Iterator

import pytest

from balance.errors import InputError
from balance.job.scales import LineScale, ScaleLine, parse_line


@pytest.mark.parametrize(
    ("line", "mass_g"),
    [
        ("494.7 g", 494.7),
        ("+  494.70g", 494.7),
        ("- 0.1 g", -0.1),
        ("N 17,45 oz", 17.45 * 28.349523125),
        ("1.2 kg", 1200.0),
        ("0494.7", 494.7),
    ],
)
def test_lines_of_many_kinds(line: str, mass_g: float) -> None:
    found = parse_line(line)
    assert found is not None
    assert found.mass_g == pytest.approx(mass_g, rel=1e-12)


@pytest.mark.parametrize("line", ["", "ready", "----", "OVERLOAD", "1,234 kg"])
def test_lines_without_a_reading(line: str) -> None:
    assert parse_line(line) is None


def test_a_pattern_tells_steady_lines_from_unsteady() -> None:
    pattern = r"^steady (?P<number>[\d.]+) (?P<unit>g)$"
    assert parse_line("steady 12.5 g", pattern=pattern) == ScaleLine("12.5 g", 12.5)
    assert parse_line("moving 12.5 g", pattern=pattern) is None


@pytest.mark.parametrize(
    ("pattern", "message"),
    [("(", "is no regular expression"), (r"\d+", r"must have a group \(\?P<number>")],
)
def test_patterns_that_cannot_work(pattern: str, message: str) -> None:
    with pytest.raises(InputError, match=message):
        parse_line("1 g", pattern=pattern)


@pytest.fixture
def wire() -> Iterator[tuple[int, str]]:
    """Both ends of a pseudo-terminal: the scale writes to one, we open the other by name."""
    scale, ours = pty.openpty()
    tty.setraw(ours)
    yield scale, os.ttyname(ours)
    os.close(scale)
    os.close(ours)


@pytest.fixture
def prints(wire: tuple[int, str]) -> Iterator[Callable[..., None]]:
    """Let the scale print lines over and over, the last for ever, until the test is over."""
    over = threading.Event()
    threads: list[threading.Thread] = []

    def play(lines: tuple[bytes, ...]) -> None:
        for line in lines:
            os.write(wire[0], line)
            time.sleep(0.01)
        while not over.is_set():
            os.write(wire[0], lines[-1])
            time.sleep(0.01)

    def start(*lines: bytes) -> None:
        threads.append(threading.Thread(target=play, args=(lines,)))
        threads[-1].start()

    yield start
    over.set()
    for thread in threads:
        thread.join()


def test_only_a_settled_reading_counts(wire: tuple[int, str], prints: Callable[..., None]) -> None:
    with LineScale(wire[1]) as scale:
        prints(b"  0.0 g\r\n", b"120.3 g\r\n", b"480.1 g\r\n", b"494.9 g\r\n", b"494.7 g\r\n")
        assert scale.stable(timeout_s=5) == ScaleLine("494.7 g", 494.7)


def test_what_was_printed_before_is_thrown_away(
    wire: tuple[int, str], prints: Callable[..., None]
) -> None:
    with LineScale(wire[1], same=2) as scale:
        os.write(wire[0], b"111.1 g\r\n" * 5 + b"11")
        time.sleep(0.05)
        prints(b"1.1 g\r\n", b"222.2 g\r\n")
        assert scale.stable(timeout_s=5).mass_g == 222.2


def test_a_scale_with_a_print_button(wire: tuple[int, str]) -> None:
    with LineScale(wire[1], same=1) as scale:
        press = threading.Timer(0.1, os.write, (wire[0], b"494.7 g\r\n"))
        press.start()
        assert scale.stable(timeout_s=5).text == "494.7 g"
        press.join()


def test_an_empty_pan_and_silence_are_no_reading(
    wire: tuple[int, str], prints: Callable[..., None]
) -> None:
    with LineScale(wire[1]) as scale:
        with pytest.raises(InputError, match="shows nothing steady; it printed no line: wait and"):
            scale.stable(timeout_s=0.3)
        prints(b"0.0 g\r\n")
        with pytest.raises(
            InputError, match=re.escape("its last line was '0.0 g': wait and press")
        ):
            scale.stable(timeout_s=0.3)


def test_a_port_that_is_not_there() -> None:
    with pytest.raises(InputError, match="cannot be opened: is the scale plugged in"):
        LineScale("/dev/no-such-port")
    with pytest.raises(InputError, match="same must be at least 1, got 0"):
        LineScale("/dev/no-such-port", same=0)
