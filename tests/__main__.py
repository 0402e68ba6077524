"""Runs the tests: ``python3 tests`` sets up an environment first; arguments go to pytest.

``python3 tests --lock`` renews the exact versions that set-ups install: see ``lock.py``.

No function, annotation or f-string here, as in ``drill/__main__.py``: an old
Python must be able to read this file.
"""

import os
import sys

if sys.version_info < (3, 11):  # noqa: UP036 (this is the one line that old Pythons are here for)
    sys.stderr.write("drill: needs Python 3.11 or later; this is " + sys.version.split()[0] + "\n")
    sys.exit(78)

if __name__ == "__main__":
    _here = os.path.dirname(os.path.abspath(__file__))
    _root = os.path.dirname(_here)
    sys.path[:] = [_root] + [entry for entry in sys.path if os.path.abspath(entry) != _here]
    from drill.setup_env import become, ready, start
    from drill.setup_state import TESTS, python_of

    os.chdir(_root)  # pytest looks for its settings where it is started
    if sys.argv[1:2] == ["--lock"]:
        _env = ready(_root, TESTS)
        sys.exit(become([python_of(_env), os.path.join(_here, "lock.py")] + sys.argv[2:]))
    # The whole suite runs on every core, and one test more while others wait for a program;
    # what listens to real time comes last, and alone (conftest.py).
    _cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    _many = ["-n", str((_cores or 1) + 1)] if sys.argv[1:] in ([], ["--slow"]) else []
    sys.exit(start(_root, TESTS, sys.argv[1:] + _many))
