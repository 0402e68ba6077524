"""Headings on paper, and what is said where a page cannot be made."""

from __future__ import annotations

from collections.abc import Sequence

CONCERT_PITCH = "Concert pitch"
"""The part's name where there is no horn."""


def engraver_missing(packages: Sequence[str], python: str) -> str:
    """These packages are not installed; ``python`` is the interpreter that would find them, for
    drill mostly runs in an environment of its own."""
    install = f'"{python}" -m pip install {" ".join(packages)}'
    return f"engraving needs {' and '.join(packages)}: {install}"


engraver_broken = "verovio and typst are installed but do not load: {}".format
"""They are installed and of no use here."""


MUSIC_UNREAD = "the engraver could not read the music: please report this"


def page_failed(fault: object) -> str:
    """The typesetter's first line of reasons, if it gave any."""
    return (
        f"the page could not be made: {(str(fault).strip() or 'no reason given').splitlines()[0]}"
    )


midi_note_out = "MIDI note {} cannot be written; expected 0 to 127".format
"""A MIDI file has no such note."""
