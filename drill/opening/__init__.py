"""What opens the program: places, log, decks, sound and streams, for a command or a front end."""
