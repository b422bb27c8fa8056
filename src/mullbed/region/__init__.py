"""Many gardens and many years on a cluster; the room opens with the region."""
