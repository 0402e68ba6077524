"""A forecast for tests, with what each of them wants else."""

from __future__ import annotations

from drill.memory.forecast import Forecast


def ahead(**more: object) -> Forecast:
    """Twenty cells, five by heart; ``more`` in the place of what is usual."""
    fields: dict[str, object] = {
        "cells": 20, "by_heart": 5, "wanted": 18, "practice_days": 9, "prompts_a_day": 12.4,
        "enough": True, "days": 15.0, "soonest": 10.2, "latest": 30.0,
    }  # fmt: skip
    return Forecast(**{**fields, **more})  # type: ignore[arg-type]
