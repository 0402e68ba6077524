"""The course of a practice in time: bouts, strokes, tempi, and how they are judged."""
