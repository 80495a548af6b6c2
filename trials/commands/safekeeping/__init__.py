"""The safekeeping of the logbook file: looked through, its copies listed, gone back to, or made anew."""
