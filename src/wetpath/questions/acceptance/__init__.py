"""The works test: what the bench should show on water, whether it is accepted, and the pump file it leads to."""
