"""What a user is told when a command fails, and the exit code that goes with it."""

from __future__ import annotations

import os
import sys

#: Exit codes beside 0 and 1, which a rating gives: bad input, a fault of the program, stopped, reader of a pipe left.
BAD_INPUT, FAULT, STOPPED, BROKEN_PIPE = 2, 3, 130, 141
DEBUG_VARIABLE = "WETPATH_DEBUG"


def exit_code_of(error: BaseException) -> int | None:
    """Tell the user what an exception means and return the exit code; None when it shall be raised again."""
    from typer import Abort, Exit

    from wetpath.errors import DataError, Stopped, WetpathError

    if isinstance(error, Exit):
        return error.exit_code
    if isinstance(error, SystemExit):
        return error.code if isinstance(error.code, int) else FAULT
    if isinstance(error, (KeyboardInterrupt, Abort)):
        tell("Stopped.")
        return STOPPED
    if hasattr(error, "show") and hasattr(error, "exit_code"):      # what the reader of options says of them
        error.show()
        return BAD_INPUT
    if isinstance(error, BrokenPipeError):
        return BROKEN_PIPE
    if os.environ.get(DEBUG_VARIABLE):
        return None
    if isinstance(error, Stopped):
        tell(str(error))
        return STOPPED
    if isinstance(error, WetpathError) and not isinstance(error, DataError):
        tell(str(error))
        return BAD_INPUT
    if isinstance(error, DataError):
        tell(f"{error} The installation is damaged; install wetpath again.")
        return FAULT
    kind = f"{type(error).__name__}: {error}".strip().rstrip(":").splitlines()[0]
    tell(f"The program failed at something it should have handled ({kind}). This is a fault of the program, not of "
          f"your input.\nReport it with your files, and with what the same command shows with {DEBUG_VARIABLE}=1 set.")
    return FAULT


def tell(text: str) -> None:
    """Write to the user beside the output."""
    print(text, file=sys.stderr)
