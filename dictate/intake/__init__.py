"""Old notes: read, cut into entries, understand, bring into the log, and account for every line."""
