"""How right is it: typed notes read, compared and diagnosed; a verdict, never an exception."""
