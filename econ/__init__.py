"""kilncase: what a retort kiln for butchery bones costs, yields, stores and saves."""
