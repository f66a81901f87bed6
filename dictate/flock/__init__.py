"""The flock in numbers: how common a sign is among the birds examined for it."""
