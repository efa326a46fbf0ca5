"""The sheets of the launch day: risks, checklist, misfire, briefing, and the cards."""
