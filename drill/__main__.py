"""Starts drill: ``python3 drill`` in a clone sets itself up first, ``python -m drill`` just runs.

No function, annotation or f-string here: an old Python must be able to read
this file as far as the one line that tells what is missing.
"""

import os
import sys

if sys.version_info < (3, 11):  # noqa: UP036 (this is the one line that old Pythons are here for)
    sys.stderr.write("drill: needs Python 3.11 or later; this is " + sys.version.split()[0] + "\n")
    sys.exit(78)

if __name__ == "__main__":
    if __package__:  # installed, or started as a module: nothing to set up
        from drill.cli import main

        sys.exit(main())

    _here = os.path.dirname(os.path.abspath(__file__))
    _root = os.path.dirname(_here)
    # Run as a folder, Python puts the folder itself on the path: there our names would hide others.
    sys.path[:] = [_root] + [entry for entry in sys.path if os.path.abspath(entry) != _here]
    from drill.setup_env import start
    from drill.setup_state import PROGRAM

    sys.exit(start(_root, PROGRAM, sys.argv[1:]))
