"""One file for each thing a grower does; the only conductor."""
