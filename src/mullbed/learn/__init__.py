"""From the grower's observations to better numbers; the room opens with the record."""
