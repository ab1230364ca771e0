"""What a person types: the one schema, the frozen records, and the way from one to the other."""
