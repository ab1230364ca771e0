"""What is found and said: results, finding, cautions, JSON, screen, comparison; words and numbers, no files."""
