"""Everything that a state of memory holds, so that two can be compared to the last bit."""

from __future__ import annotations

from drill.memory.state import Factors, State


def digest(state: State) -> tuple[object, ...]:
    """What the state holds.  Registration order and unasked items do not count."""

    def family(factors: Factors) -> tuple[object, ...]:
        return tuple(
            sorted(
                (name, factors.mean[i], factors.variance[i], factors.last[i])
                for i, name in enumerate(factors.names)
                if factors.last[i] == factors.last[i]
            )
        )

    cells = sorted(
        (item.id, state.cell_right[i], state.cell_asked[i], state.cell_turn[i],
         state.cell_missed[i], state.held[i], tuple(sorted(state.good_days[i])),
         tuple(sorted(state.right_in[i])))
        for i, item in enumerate(state.items)
        if state.cell_asked[i]
    )  # fmt: skip
    return (
        tuple(state.w), tuple(state.w_variance), family(state.keys), family(state.shapes),
        family(state.facts), family(state.cells), tuple(cells),
        tuple(state.items[i].id for i in state.turns), tuple(sorted(state.pace.items())),
        state.seconds_total, state.seconds_count,
    )  # fmt: skip
