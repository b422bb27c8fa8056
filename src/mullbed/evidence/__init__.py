"""How right we are on open data; the room opens with the validation."""
