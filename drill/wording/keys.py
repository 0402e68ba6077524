"""What the screens are called and what each key does there, in the last line and in the help."""

from __future__ import annotations

from collections.abc import Mapping

ACTS: Mapping[str, tuple[str, str]] = {
    "begin.today": ("begin", "Begin a practice with the chosen deck."),
    "begin.decks": ("begin", "Begin a practice with the deck in view."),
    "begin.map": ("begin", "Practise the cells of the chosen square."),
    "begin.trips": ("practise this", "Practise just what the row tells."),
    "begin.summary": ("go on", "Begin another practice with the same deck."),
    "submit": ("answer", "Hand in what is typed."),
    "play": ("play", "Start the click and play; after it, play again."),
    "onward": ("next run", "Take another run, as the planner chooses."),
    "faster": ("faster", "One step faster on the metronome's scale."),
    "slower": ("slower", "One step slower."),
    "hear.time": ("hear", "Hear the run at this tempo."),
    "letters": ("letters", "Ask for letters alone, or with their accidentals."),
    "eighths": ("eighths", "A note a beat, or two."),
    "tapped": ("tap", "Tap the time alone, any key on each note; or type the notes."),
    "clicks": ("clicks", "Every beat, 2 and 4, silent bars, or longer and longer ones."),
    "calibrate": ("calibrate", "Tap along, to tell how late this output sounds."),
    "record.take": (
        "record",
        "Open the microphone and record; then end the take.",
    ),
    "turn": ("words", "Show what is said of the take, or its notes on the staff."),
    "left.take": ("slower", "A slower count-in; after a take, the cells before."),
    "right.take": ("faster", "A faster count-in; after a take, the cells that follow."),
    "clicks.take": ("clicks", "Let the click go on after the count-in, or not."),
    "keep.take": ("keep", "Keep the take as a file on this machine."),
    "result": ("for the teacher", "Keep what was said for the deck's next hand-in: no sound."),
    "back.take": ("back", "Break the take off; else go back. What was not kept is gone."),
    "begin.tapping": (
        "start the click",
        "Start the click; any letter or the space bar is a tap.",
    ),
    "listen.tapping": (
        "microphone",
        "Let a microphone hear the click instead; it is open only meanwhile.",
    ),
    "back.tapping": ("back", "Break the click off; else go back."),
    "mute.tapping": ("sound", "Turn the sound off or on."),
    "back.time": ("back", "Break off the bout being played; otherwise go back."),
    "mute": ("sound", "Turn the sound off or on."),
    "show": (
        "show",
        "Show the cell: it counts as missed, and is copied; at a copy, go on without it.",
    ),
    "hear": ("hear", "Hear the prompt again (by ear), or the cell of the last verdict."),
    "walk": (
        "walk the run",
        "Walk the run of this cell first: with the page, with half of it, without.",
    ),
    "sharpen": ("sharp", "Type a sharp, where # is hard to reach."),
    "flatten": ("flat", "Type a flat; the letter b does so too in English."),
    "back.form": ("back", "Go back; while you type a value, leave it as it was."),
    "back.pick": ("back", "Leave without choosing."),
    "back.stand": ("end", "End the practice; what was answered is kept."),
    "up": ("", "Go up a row."),
    "down": ("", "Go down a row."),
    "left": ("", "Go left, or to the run before."),
    "right": ("", "Go right, or to the next run."),
    "left.form": ("", "Take the value before, or one less."),
    "right.form": ("", "Take the next value, or one more."),
    "first": ("", "Go to the first row."),
    "last": ("", "Go to the last row."),
    "change": ("change", "Change, choose or do what the row stands for."),
    "take": ("take", "Take this row, or all that are marked."),
    "mark": ("mark", "Mark this row, or unmark it."),
    "hear.pick": ("hear", "Hear this row."),
    "up.pick": ("", "Go up a row."),
    "down.pick": ("", "Go down a row."),
    "first.pick": ("", "Go to the first row."),
    "last.pick": ("", "Go to the last row."),
    "measure": ("show", "Show the next figure: recall, errors, answers, tempo, on the horn."),
    "walk.map": ("walk the run", "Walk the square's run: with the page, with half of it, without."),
    "open": ("open", "Open the chosen square: its cells and slips."),
    "open.report": ("open", "Open the row: all that is known of it."),
    "table": ("next table", "Show the next table."),
    "table_before": ("", "Show the previous table."),
    "sort": ("sort", "Sort the rows by the next column."),
    "direction": ("up/down", "Show the runs that go the other way."),
    "own": ("own", "Put together a practice of your own: horn, patterns, keys, length."),
    "edit": ("edit", "Change the deck in view, or make one like it."),
    "record.decks": ("record", "Record a take of the run in view, and be told how it was."),
    "trips": ("trips me", "What trips you in the chosen deck, and a practice of each."),
    "decks": ("decks", "Look through the decks, run by run."),
    "map": ("map", "The map of keys and patterns of the chosen deck."),
    "horn": ("on the horn", "Answer the deck's cells by playing them on the horn."),
    "teacher": ("class", "The teacher's desk: decks, pages, results; and hand in."),
    "settings": ("settings", "Look at the settings and change them."),
    "time": ("in time", "Play the deck's runs in time with the metronome."),
    "mute.today": ("sound", "Turn the sound off or on."),
    "help": ("help", "Show this help."),
    "help.pick": ("help", "Show this help."),
    "back": ("back", "Go back."),
    "quit_now": ("quit", "Leave drill."),
    "yes": ("yes", "Yes."),
    "no": ("no", "No: go back to where you were."),
    "quit_asked": ("", "Leave drill, after a question; press it twice to leave at once."),
    "suspend": ("", "Put drill in the background, where the system can."),
}
"""By the ids of ``tui.actions``; an empty word keeps an action out of the last line."""

KEYS_OF_ACTION = "the keys of this action"
"""What the setting of a key is for."""
SCREENS: Mapping[str, str] = {
    "today": "Today",
    "stand": "Stand",
    "time": "In time",
    "tapping": "How late it sounds",
    "take": "A take",
    "summary": "End of practice",
    "decks": "Decks",
    "map": "Map",
    "trips": "What trips me",
    "form": "Form",
    "errand": "What was done",
    "report": "Report",
    "pick": "List",
    "start": "First start",
    "help": "Help",
    "confirm": "Question",
    "opening": "Opening",
}
"""By the values of ``tui.actions.Place``."""
TYPING = """\
Notes are letters with their accidentals, spaces between: C D Eb F#.
Sharp is # or + or the up arrow, flat is b or the down arrow, double sharp x, double flat bb.
Run together they are read only where there is one way to read them; capitals help: BbEbB.
Backspace takes a character, ctrl+w a note, ctrl+u all of it."""
"""How notes are typed."""
