"""Rules that keep people, water and neighbours safe; the room opens with the record."""
