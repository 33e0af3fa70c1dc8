"""The machine: one file a part, in the order of the section drawing."""
