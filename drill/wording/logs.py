"""What is said of the answer log while it is open."""

from __future__ import annotations


def restored_words(count: int) -> str:
    """Another program put another log in the place of this one, which holds ``count`` now."""
    answers = f"{count} answer{'' if count == 1 else 's'}"
    return (
        f"the answer log was changed by drill restore or repair meanwhile and holds {answers} now; "
        "what you answer goes on being kept in it"
    )
