"""One module a stage: from what is known of a design to what its page shows; nothing here knows of the web."""
