"""The allocation: decisions, rules, goals in strict order, and the search (OR-Tools CP-SAT)."""
