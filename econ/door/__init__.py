"""The Python door: plants without a file, answers as frames, many plants of a frame."""
