"""The page; the room opens with the phone-first page."""
