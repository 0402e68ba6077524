"""What the screens show, as lines of text: a value in, lines out, and no Textual."""
