"""Words of the garden: frozen records of beds, residues, layers, days and plans; no computation beyond them."""
