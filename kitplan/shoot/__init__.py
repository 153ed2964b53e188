"""What is to be filmed: venue, subjects, songs, passes, crew, roles, rules, locks."""
