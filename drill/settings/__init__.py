"""How the player wants it: settings read from flags, environment and files, and written back."""
