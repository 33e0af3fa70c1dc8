"""The command line: thin commands over the services, text for people or JSON for machines."""
