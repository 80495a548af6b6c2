"""One file a command: open, call, print. Heavy rooms are imported when a command needs them."""
