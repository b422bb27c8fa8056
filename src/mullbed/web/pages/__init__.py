"""One page, one file; the room opens with the phone-first page."""
