"""Which pump: candidates out of a catalogue, screened together, ranked, and the best of them rated."""
