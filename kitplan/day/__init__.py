"""The clock of a plan: shot sheets, restarts, cover, work between passes, power, media, cases."""
