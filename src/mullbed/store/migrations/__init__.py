"""Steps from each schema of the record to the next, up and down."""
