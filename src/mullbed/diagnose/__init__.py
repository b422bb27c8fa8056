"""From what was seen and smelt to causes and remedies; the room opens with the record."""
