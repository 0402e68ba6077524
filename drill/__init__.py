"""drill: asks, checks, sounds and spaces the short patterns of wind technique."""

__version__ = "0.1.0"
