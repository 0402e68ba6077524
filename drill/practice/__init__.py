"""The course of a practice, headless."""
