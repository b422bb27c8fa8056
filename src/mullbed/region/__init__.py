"""Many gardens, many years: chunks of the compiled loop, run by dask here or on a cluster."""
