"""Does the soil really improve: design, power and analysis; the room opens with the trials."""
