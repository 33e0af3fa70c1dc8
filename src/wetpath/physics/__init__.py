"""Physics: one file per phenomenon, pure functions of arrays in SI, sources in the docstrings."""
