"""The command line. One file per command: it parses arguments, calls a room and prints."""
