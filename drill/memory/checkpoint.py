"""What a log has taught, kept in a file beside it, so that a long log opens at once.

The file is worth nothing by itself: it can be thrown away at any time, and the log is then
replayed.  It is used only where it was made by this very model and for a beginning of this
very log; a file that is absent, damaged, foreign, of another version or ahead of the clock
is passed over without a word.
"""

from __future__ import annotations

import hashlib
import json
from array import array
from contextlib import suppress
from dataclasses import astuple, dataclass
from datetime import datetime
from functools import cache
from operator import attrgetter
from pathlib import Path
from typing import Any

from drill.errors import DrillError
from drill.files import make_folder, write_whole
from drill.memory import items as items_module
from drill.memory import kinds as kinds_module
from drill.memory import model as model_module
from drill.memory import state as state_module
from drill.memory.items import aware, clocked, instant, microseconds
from drill.memory.model import learn, replay
from drill.memory.state import Factors, State
from drill.memory.store import Reach, Store

WORTH_KEEPING = 300
"""Answers beyond the last checkpoint from which a new one is made: some hundredths of a second
of replay."""
_SOURCES = (items_module, kinds_module, state_module, model_module)
_LEFT_OUT = frozenset({"priors", "items", "wiring"})
"""Made anew by registering the log's items in the same order."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A log as it was learned."""

    state: State
    seq: int
    """The last row that was learned from, 0 for none."""
    newest: datetime | None
    """The latest instant that an answer bears; None for an empty log."""
    replayed: int
    """Answers that had to be learned from anew."""


@dataclass(frozen=True, slots=True)
class _Resumed:
    """A checkpoint that fits."""

    state: State
    seq: int
    newest: datetime


def opened(store: Store, file: Path | None, now: datetime | None = None) -> Opened:
    """What the log teaches: from the checkpoint in ``file`` and the answers since, else from all.

    ``now`` is the present instant: answers dated after it count as ``items.clocked`` says;
    None trusts every date.  The file is renewed when enough was learned since; None: no file.
    Raises StoreError where the log cannot be read.
    """
    end = store.reach()
    begun = None if file is None else _taken_up(store, file, now)
    # Another program may write meanwhile: its rows are learned when the room catches up.
    fresh = store.since(begun.seq if begun else 0)
    rows = sorted((each.answer for each in fresh if each.seq <= end.seq), key=attrgetter("order"))
    known = store.items() if rows else {}
    if begun is None:
        state = replay(rows, known, now=now)
    else:
        state = begun.state
        for answer in clocked(rows, now):
            if (item := known.get(answer.item)) is not None:
                learn(state, item, answer)
    dates = [answer.at for answer in rows]
    newest = max([begun.newest, *dates] if begun else dates, default=None)
    if file is not None and newest is not None and len(rows) >= WORTH_KEEPING:
        keep(file, state, end, newest, now)
    return Opened(state, end.seq, newest, len(rows))


def _taken_up(store: Store, file: Path, now: datetime | None) -> _Resumed | None:
    """A checkpoint that was made from a beginning of this log; None where there is none."""
    try:
        digest, _, body = file.read_bytes().partition(b"\n")
        if digest.decode() != _digest(body):
            return None
        kept = json.loads(body)
        reach, newest = Reach(*kept["log"]), instant(kept["newest"])
        if kept["model"] != model_version() or reach != store.reach(reach.seq):
            return None
        if now is not None and newest > aware(now):
            return None  # some of its answers are dated after now: the clock was set back
        if any(logged.answer.order <= reach.order for logged in store.since(reach.seq)):
            return None  # a merge brought answers from before
        return _Resumed(_state_of(kept["state"], store), reach.seq, newest)
    except (OSError, ValueError, LookupError, TypeError, AttributeError, OverflowError):
        return None


def keep(
    file: Path, state: State, reach: Reach, newest: datetime, now: datetime | None = None
) -> None:
    """Write a checkpoint, whole or not at all; where it cannot be written there is none.

    ``newest`` is the latest instant that one of its answers bears.  Where that lies after
    ``now`` nothing is written: it is not yet known when those answers were given.
    """
    if now is not None and newest > aware(now):
        return
    with suppress(OSError, DrillError):
        kept = {
            "model": model_version(),
            "log": astuple(reach),
            "newest": microseconds(newest),
            "state": _told(state),
        }
        body = json.dumps(kept, separators=(",", ":")).encode()
        make_folder(file.parent, private=True)
        write_whole(file, _digest(body).encode() + b"\n" + body, private=True)


def _digest(body: bytes) -> str:
    return hashlib.blake2b(body, digest_size=16).hexdigest()


@cache
def model_version() -> str:
    """A name for the way in which a log is learned from: another one with every change to it.

    Taken from the very sources, so that no change can forget to raise a number.
    """
    sources = hashlib.blake2b(digest_size=16)
    for module in _SOURCES:
        sources.update(Path(module.__file__ or "").read_bytes())
    return sources.hexdigest()


def _told(state: State) -> dict[str, Any]:
    """The state as JSON has it; numbers come back to the last bit."""
    told: dict[str, Any] = {"items": [item.id for item in state.items]}
    for name, value in vars(state).items():
        if name not in _LEFT_OUT:
            told[name] = _plain(value)
    return told


def _plain(value: Any) -> Any:
    if isinstance(value, Factors):
        return [value.mean.tolist(), value.variance.tolist(), value.last.tolist()]
    if isinstance(value, array):
        return value.tolist()
    if isinstance(value, dict):
        return list(value.items())
    if isinstance(value, list):
        return [sorted(each) if isinstance(each, frozenset) else each for each in value]
    if isinstance(value, int | float):
        return value
    raise TypeError(f"no way to keep {type(value).__name__}")


def _state_of(told: dict[str, Any], store: Store) -> State:
    """The state that was told.  Raises the errors of a malformed value, which the caller knows."""
    state, known = State(), store.items()
    for item in told["items"]:
        state.place(known[item])
    for name, value in vars(state).items():
        if name not in _LEFT_OUT:
            setattr(state, name, _again(value, told[name]))
    return state


def _again(fresh: Any, told: Any) -> Any:
    """A value of the kind of ``fresh``, filled with what was told."""
    if isinstance(fresh, Factors):
        mean, variance, last = told
        if not len(fresh.names) == len(mean) == len(variance) == len(last):
            raise ValueError("another number of factors")
        for name, numbers in (("mean", mean), ("variance", variance), ("last", last)):
            setattr(fresh, name, array("d", numbers))
        return fresh
    if isinstance(fresh, array):
        return array(fresh.typecode, told)
    if isinstance(fresh, dict):
        return dict(told)
    if isinstance(fresh, list):
        return [frozenset(each) if isinstance(each, list) else each for each in told]
    return type(fresh)(told)
