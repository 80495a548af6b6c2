"""A plan and its runs as one record: fields as texts, totals, and what must hold between them."""
