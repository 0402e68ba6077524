"""What is said of the sound: whether it is on, and how it is turned on."""

from __future__ import annotations

SOUND_OFF = "the sound is off"
sound_is_off = "The sound is off: {} turns it on, then {} sounds the cell".format
"""By which key, and by which one the cell is heard."""
nothing_sounds = "This is asked by ear, and nothing sounds: {} tries again, {} ends".format
"""By which key or word it is heard after all, and by which one the practice is left."""
turn_on = "the sound is off: {} turns it on".format
"""By which key or word."""
MUTED_BY_EAR = "the sound is off, and this is asked by ear: type mute to turn it on"
NOTHING_TO_HEAR = "there is nothing to hear before the first answer"


def sound_told(muted: bool) -> str:
    """Said when it was turned off or on."""
    return "sound off" if muted else "sound on"


def mute_label(muted: bool) -> str:
    """What the key for it would do now."""
    return "sound on" if muted else "mute"
