"""Mullbed: build garden soil in place with thin layers of soft fresh and dry residues."""
