"""What changes awards, work scopes and claims; one file per noun."""
