"""From a brief to a plan."""
