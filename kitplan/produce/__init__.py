"""The whole answer: options, allocation, units, figures, and the check of it all."""
