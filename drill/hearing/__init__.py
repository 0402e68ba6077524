"""What was played? Samples or MIDI events and the line that was asked, in; what was heard, out."""
