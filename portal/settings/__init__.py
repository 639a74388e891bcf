"""Settings: base for all, then dev, demo, test and production. Secrets come from outside."""
