"""Line mode: asks and answers in plain lines, for screen readers, pipes and dumb terminals."""
