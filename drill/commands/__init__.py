"""What each command does; the command line only parses and calls."""
