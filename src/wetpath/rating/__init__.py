"""The rating: one pump, one enquiry, all cases, every check."""
