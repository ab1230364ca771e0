"""What weighed firings and lab assays say: means, small-sample ranges, trends, and their use as inputs."""
