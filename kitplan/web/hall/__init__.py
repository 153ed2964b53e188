"""What phones in a dark hall are served with: gear and cases. No Starlette here."""
