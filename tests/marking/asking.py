"""The type of the fixture ``ask``."""

from __future__ import annotations

from collections.abc import Callable

from drill.marking.question import Question

Ask = Callable[..., Question]
