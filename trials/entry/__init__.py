"""Folders and files in, records or a full list of problems out; and the same form back."""
