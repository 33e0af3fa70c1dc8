"""The parts of the data sheet, one file a subject."""
