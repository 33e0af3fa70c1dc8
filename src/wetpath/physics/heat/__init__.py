"""Heat transfer, wall temperature and boiling."""
