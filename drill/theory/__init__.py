"""What is right: spelling, keys, patterns, instruments, and the one door to music21."""
