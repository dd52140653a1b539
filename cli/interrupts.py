"""Ctrl-C before there is any work to stop: the program ends with a line, never with a trace."""

# Nothing is imported here that Python has not loaded by itself: what is read before
# `end_at_once` is called is still open to Python's own trace.
import os

STOPPED = 130  # exit code after Ctrl-C, as shells count it


def end_at_once() -> None:
    """Let Ctrl-C end the program where it stands, while modules and words are still read."""
    import signal

    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:  # else it is held back
        signal.signal(signal.SIGINT, _end)


def interrupt_again() -> None:
    """Let Ctrl-C interrupt as Python does: what has begun is put away in order."""
    import signal

    if signal.getsignal(signal.SIGINT) is _end:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def _end(*_signal: object) -> None:
    """End; nothing was begun, so nothing is to be put away."""
    os.write(2, b"heavyspot: stopped\n")
    os._exit(STOPPED)
