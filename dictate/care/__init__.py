"""What a record asks for: rechecks that are due, produce that is held back."""
