"""What is right: spelling, keys, patterns, chords, instruments; library: the door to music21."""
