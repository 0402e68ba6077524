"""How does it sound: notes to samples, samples to a device in a process of its own."""
