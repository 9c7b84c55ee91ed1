"""How fast Slurwright is beside general-purpose libraries that do the same work, measured in the same run."""
