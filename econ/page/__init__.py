"""One html file with the answer and the model in it, for a phone."""
