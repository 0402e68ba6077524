"""The screens: one of two front ends of the practice room."""
