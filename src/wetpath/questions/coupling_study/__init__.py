"""What a magnetic coupling does over load angle, temperature and speed, out of step, and while its driver starts."""
