"""What faces show alike: numbers in units, and figures as SVG drawn from a record."""
