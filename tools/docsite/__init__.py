"""The docs as a site: `make docs`. mkdocs puts the pages together; what is here makes those that nobody writes."""
