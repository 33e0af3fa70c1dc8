"""Links to what runs outside this process: other processes and machines."""
