"""The question "how far": where in flow, temperature and suction pressure a pump may be run."""
