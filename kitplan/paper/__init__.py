"""Papers as text: the plan summary, the packing list, the comparison. Strings out, no printing."""
