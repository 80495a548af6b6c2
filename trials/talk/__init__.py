"""Questions as data, and one engine that asks them."""
