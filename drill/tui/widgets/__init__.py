"""What is drawn with: a value in, a message out."""
