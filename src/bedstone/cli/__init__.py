"""The command line: verbs, messages and exit codes. It holds no engineering.

Exit codes: 0 done, 1 a check does not hold, 2 bad input, 3 a fault of the program itself, 130
interrupted, 141 nobody reads the output any more.
Little is imported before `main` runs: from there on an interruption is one line, no traceback.
"""

from __future__ import annotations

import os
import select
import sys
from collections.abc import Callable

#: What shells tell of a program that ended by SIGINT, and by SIGPIPE: 128 and the signal's number.
_INTERRUPTED, _UNREAD = 130, 141


def main() -> None:
    """Run the command line and leave the process with an exit code."""
    try:
        code = _run()
    except KeyboardInterrupt:
        sys.stderr.write("interrupted\n")
        code = _INTERRUPTED
    except BrokenPipeError:
        _drop_output()
        code = _UNREAD
    sys.exit(code)


def _run() -> int:
    from bedstone.cli.verbs import app

    return _guarded(app)


def _guarded(run: Callable[[], object]) -> int:
    """Run, and turn everything a user can cause into one line and an exit code.

    Raises `KeyboardInterrupt`, and `BrokenPipeError` where nobody reads the output any more.
    """
    import typer

    from bedstone.cli.common import BAD_INPUT, CHECK_FAILS, PROGRAM_FAULT, complain, plain
    from bedstone.errors import BedstoneError, CheckError

    for stream in (sys.stdout, sys.stderr):
        # a terminal that knows few characters gets question marks, not a traceback
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
    try:
        code = _code_of(run)
        if sys.stdout is not None:
            sys.stdout.flush()  # what cannot be written must show here, not after the end
    except CheckError as error:
        complain(error)
        return CHECK_FAILS
    except (BedstoneError, OSError) as error:
        if isinstance(error, BrokenPipeError) and _unread():
            raise
        complain(error)
        return BAD_INPUT
    except Exception as error:
        if os.environ.get("BEDSTONE_TRACEBACK"):
            raise
        typer.echo(
            f"bedstone failed: {type(error).__name__}: {plain(str(error))}. Please report this "
            "with the bridge file; BEDSTONE_TRACEBACK=1 shows the details.",
            err=True,
        )
        return PROGRAM_FAULT
    return code


def _code_of(run: Callable[[], object]) -> int:
    """Exit code of a run; an interruption or a closed pipe is raised as it was.

    The library of the command line turns both into codes of its own, a closed pipe into 1, which
    here is a check that does not hold.
    """
    try:
        run()
    except SystemExit as left:
        behind = left.__context__
        while behind is not None:
            if isinstance(behind, KeyboardInterrupt | BrokenPipeError):
                raise behind from None
            behind = behind.__cause__ or behind.__context__
        if isinstance(left.code, int):
            return left.code
        raise
    return 0


def _unread() -> bool:
    """Whether nobody reads the standard output or error any more."""
    if not hasattr(select, "poll"):  # Windows cannot tell: no other pipe is written by the verbs
        return True
    poll = select.poll()
    for stream in (1, 2):
        poll.register(stream, 0)
    return any(event & select.POLLERR for _, event in poll.poll(0))


def _drop_output() -> None:
    """Let what is still to be written go nowhere: at its end the interpreter would complain."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):
        os.dup2(nowhere, stream)
    os.close(nowhere)
