"""The store: projects, documents with all their revisions, drafts, ratings, issues and accounts in a database."""
