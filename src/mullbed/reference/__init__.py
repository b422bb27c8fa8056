"""Facts with sources: data files and small loaders; nothing here computes."""
