"""The record on disk; the room opens with the record of what was really laid."""
