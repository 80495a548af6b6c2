"""What a change is worth a year: grams, money, what it costs, and when it has paid. Nothing is fetched."""
