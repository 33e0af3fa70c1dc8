"""Field, torque and shell eddy loss of the magnet rings."""
