"""Which port, and why."""
