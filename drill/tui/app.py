"""The screens' front door: ``run`` opens the trainer and gives its exit code."""

from __future__ import annotations

import os

from drill.tui.context import Context
from drill.tui.looks import prepare


def run(context: Context) -> int:
    """Run the trainer until the player leaves it; the exit code.

    0 left by the player, 1 an error in the program (said on stderr, with a report in
    ``context.log``), 130 by ctrl+c, 143 and 129 by SIGTERM and SIGHUP, 129 also
    where the terminal is gone.  Needs a terminal
    on standard input and on standard error, where Textual draws.
    """
    looks = prepare(context.wishes(), os.environ)
    from drill.tui.edges import forgive_bad_bytes
    from drill.tui.hangup import CODE, HangupWatch
    from drill.tui.trainer import Trainer

    forgive_bad_bytes()
    trainer = Trainer(context, looks)
    try:
        with HangupWatch(0, lambda: trainer.call_from_thread(trainer.leave, CODE)):
            trainer.run(mouse=False)
    finally:
        trainer.studio.close()
    code = trainer.return_code
    return 1 if code is None else code
