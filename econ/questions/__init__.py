"""Questions put to the model: each calls it with arrays of cases and nothing else."""
