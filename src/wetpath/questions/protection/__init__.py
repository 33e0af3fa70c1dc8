"""What protects the pump: instruments as they are, their set points, what each sees of each upset, and how early."""
