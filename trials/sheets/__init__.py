"""Other people's spreadsheets, in and out."""
