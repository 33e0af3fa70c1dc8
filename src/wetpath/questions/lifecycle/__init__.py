"""Life cycle: a seal-less pump against a sealed one with its support system, on the same scope."""
