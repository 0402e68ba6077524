"""The screens' front door: ``run`` opens the trainer and gives its exit code."""

from __future__ import annotations

import contextlib
import os
import sys
import threading

from drill.tui.context import Context
from drill.tui.looks import prepare


def run(context: Context) -> int:
    """Run the trainer until the player leaves it; the exit code.

    0 left by the player, 1 an error in the program (said on stderr, with a report in
    ``context.log``), 130 by ctrl+c, 143 and 129 by SIGTERM and SIGHUP, 129 also
    where the terminal is gone.  Needs a terminal
    on standard input and on standard error, where Textual draws.
    """
    wishes = context.wishes()
    looks = prepare(wishes, os.environ)
    from drill.tui.edges import forgive_bad_bytes
    from drill.tui.hangup import CODE, HangupWatch
    from drill.tui.trainer import Trainer

    forgive_bad_bytes()
    trainer = Trainer(context, looks, wishes)
    try:
        with HangupWatch(0, lambda: trainer.call_from_thread(trainer.leave, CODE)):
            trainer.run(mouse=False)
    finally:
        trainer.studio.close()
    code = 1 if trainer.return_code is None else trainer.return_code
    if trainer.studio.backroom.busy or trainer.studio.lookout.busy or _still_runs():
        _end_at_once(code)
    return code


def _still_runs() -> bool:
    """Whether a thread is left that the interpreter's end would wait for.

    On a terminal that went in the middle of leaving, the reader of keys may never have been told
    to stop: it would spin there for ever.
    """
    main = threading.main_thread()
    return any(not each.daemon for each in threading.enumerate() if each is not main)


def _end_at_once(code: int) -> None:
    """End the process while a thread still does what nobody waits for any more.

    The interpreter's own end would stop the thread wherever it is, which aborts the process
    where that is inside a library's C++.  The log is closed and the terminal restored by now.
    """
    with contextlib.suppress(OSError, ValueError):
        sys.stdout.flush()
        sys.stderr.flush()
    os._exit(code)
