"""The people of many lifts at once: their times, their work, their rounds."""
