"""Files a grower writes or receives: the garden file and open tables."""
