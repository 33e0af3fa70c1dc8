"""Electric drivers: rating margins, torque, starting."""
