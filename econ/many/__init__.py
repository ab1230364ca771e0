"""Many plants at once: a folder of workbooks or a table of rows, resumable, on one machine or a cluster."""
