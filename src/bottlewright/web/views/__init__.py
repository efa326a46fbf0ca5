"""What the pages show: results turned into plain records; no web library and no physics here."""
