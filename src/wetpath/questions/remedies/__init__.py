"""Which changes make a pump run that does not run as offered, each rated anew."""
