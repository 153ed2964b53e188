"""What if: questions beside the plan itself, such as other schedules or another lens."""
